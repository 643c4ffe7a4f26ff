"""Renders a review: Markdown, one self-contained HTML page, and the WebVTT transcript."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

import jinja2

from voicedraft.draft.document import Review
from voicedraft.draft.view import Viewer
from voicedraft.draft.vtt import webvtt

_MD = re.compile(r"([\\`*_{}\[\]()#+!|<>~$@]|:(?=//)|(?<=www)\.)", re.IGNORECASE)
"""What CommonMark acts on, and what GitHub's dialect adds: sums between dollar signs, bare addresses made links."""


def escape_markdown(text: str) -> str:
    """Spoken text with every character that Markdown or HTML would act on made plain; newlines become blanks.

    It never stands at the start of a line in the templates, where a number or dash would make a list.
    """
    return _MD.sub(r"\\\1", " ".join(text.split()).replace("&", "&amp;"))


@cache
def _environment() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("voicedraft.draft"), undefined=jinja2.StrictUndefined, trim_blocks=False,
        autoescape=jinja2.select_autoescape(enabled_extensions=("html", "html.j2"), default=False),
    )
    environment.filters["md"] = escape_markdown
    return environment


def markdown(review: Review, sounds: Mapping[int, str] | None = None) -> str:
    """The draft as Markdown. `sounds`: take number → link to its recording."""
    text = _environment().get_template("review.md.j2").render(view=Viewer(review, sounds).view())
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def page(review: Review, sounds: Mapping[int, str] | None = None) -> str:
    """The draft as one self-contained HTML page: no script, nothing fetched."""
    return _environment().get_template("review.html.j2").render(view=Viewer(review, sounds).view())


def transcript(review: Review) -> str:
    """The transcript in WebVTT, one cue a passage, its identifier the passage's."""
    return webvtt((p.id, p.start, p.end, p.text) for p in review.passages if p.text)
