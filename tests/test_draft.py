"""The draft room: the document, its readable forms, and writing them whole."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import jsonschema
import markdown_it
import pytest
import webvtt as webvtt_reader

from tests import tiny
from voicedraft.draft import schema, write
from voicedraft.draft.compose import MAGNITUDE, compose
from voicedraft.draft.document import Review, json_schema
from voicedraft.draft.render import escape_markdown, markdown, page, transcript
from voicedraft.draft.wording import CAUTION
from voicedraft.errors import OutputError
from voicedraft.types import Descriptor, Fact, Pairing, Reading, Score, Strength

NASTY = "<script>alert(1)</script> & [x](javascript:y) `code` | *bold* --> #h"


def _reading() -> Reading:
    base = tiny.reading([
        ("This is the Fenwick Tollgate toro.", "background", None),
        ("On the foot I get cedar.", "prelight", "prelight"),
        ("Strong cedar now in the first third.", "first_third", "first"),
        ("The cedar has gone.", "second_third", "second"),
        (NASTY, "verdict", "after"),
        ("Hang on, the phone.", "aside", None),
    ])
    cedar = Descriptor("cedar", "wood", "foot", "present", "medium", "p2", 11, 12, "cedar")
    return replace(
        base,
        descriptors=(
            cedar,
            replace(cedar, stage="first", intensity="strong", passage="p3", first=12, last=14, said="strong cedar"),
            replace(cedar, stage="second", status="gone", intensity=None, passage="p4", first=19, last=23),
        ),
        facts={
            "cigar": Fact("cigar", "Fenwick Tollgate", "p1", 3, 5, "the Fenwick Tollgate"),
            "wrapper": Fact("wrapper", "broadleaf", "p1", 3, 5, "I'd guess broadleaf", guessed=True),
            "price_box": Fact(
                "price_box", {"low": 180, "high": 200, "count": 20, "currency": "USD"}, "p1", 0, 2, "box"
            ),
        },
        strength=(Strength("first", 2, 3, "p3", 12, 14, "strong"),),
        scores=(Score("draw", 8.5, 10, "p3", 12, 14, "draw eight and a half"),),
        pairings=(Pairing("drink", "aged rum", "p5", 23, 25, "aged rum"),),
    )


def test_the_document_is_valid_by_its_own_published_schema() -> None:
    """Source: jsonschema's Draft 2020-12 validator, an independent implementation of the open standard."""
    data = json.loads(write.to_json(compose(_reading())))
    jsonschema.Draft202012Validator.check_schema(json_schema())
    jsonschema.Draft202012Validator(json_schema()).validate(data)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(json_schema()).validate({**data, "schema_version": 2})


def test_the_published_schema_is_the_one_the_models_give() -> None:
    """Run `make schema` after a change of the document."""
    published = Path(schema.__file__).with_name("review.schema.json").read_text(encoding="utf-8")
    assert published == schema.text()


def test_the_keys_of_the_contract_are_in_the_document() -> None:
    """The keys that others rely on, with the values of the reading."""
    data = json.loads(write.to_json(compose(_reading())))
    assert data["passages"][1] | {"words": 0, "evidence": 0} == {
        "id": "p2", "take": 1, "start": 3.0, "end": 5.36, "text": "On the foot I get cedar.",
        "heard": "On the foot I get cedar.", "section": "prelight", "stage": "prelight", "confidence": 0.9,
        "evidence": 0, "look_first": False, "words": 0, "repairs": [],
    }
    assert data["descriptors"][1]["magnitude"] == 35.0
    assert data["strength"]["first"] | {"evidence": 0} == {
        "low": 2, "high": 3, "passage": "p3", "said": "strong", "start": 6.0, "end": 6.76, "evidence": 0,
    }
    assert data["facts"]["price_box"]["value"] == {"low": 180, "high": 200, "count": 20, "currency": "USD"}
    assert data["scores"][0]["aspect"] == "draw"
    assert data["pairings"]["drink"][0]["value"] == "aged rum"


def test_magnitudes_are_the_published_places_on_the_general_labeled_magnitude_scale() -> None:
    """Source: Green et al. 1993 (Chemical Senses 18:683), Bartoshuk et al. 2004: barely detectable 1.4, weak 6,
    moderate 17, strong 35, very strong 53 of 100."""
    assert list(MAGNITUDE.values()) == [1.4, 6.0, 17.0, 35.0, 53.0]


def test_change_from_stage_to_stage_is_computed() -> None:
    """Cedar is new at the foot, rises in the first third and is gone in the second."""
    assert [d.evolution for d in compose(_reading()).descriptors] == ["new", "rising", "gone"]


def test_a_flavour_that_comes_back_is_said_to_return() -> None:
    """Gone, then there again."""
    base = _reading()
    back = replace(base.descriptors[0], stage="final", intensity="light", passage="p4", first=19, last=20)
    assert compose(replace(base, descriptors=(*base.descriptors, back))).descriptors[-1].evolution == "returned"


def test_what_was_not_said_is_listed_and_a_guess_counts_as_not_said() -> None:
    """Blank is blank: the guessed wrapper is listed, the said cigar is not."""
    missing = compose(_reading()).not_mentioned
    assert "Wrapper" in missing
    assert "Ring gauge" in missing
    assert "Strength, final third" in missing
    assert "Cigar" not in missing
    assert "Strength, first third" not in missing


def test_a_guess_is_never_printed_among_the_facts() -> None:
    """It stands under its own heading in both readable forms."""
    review = compose(_reading())
    facts = markdown(review).split("## The cigar")[1].split("\n## ")[0]
    assert "broadleaf" not in facts
    assert "broadleaf" in markdown(review).split("## Guesses of the speaker, not facts")[1]
    assert "broadleaf" not in page(review).split('id="facts"')[1].split("</table>")[0]


class _Page(HTMLParser):
    """Collects ids, links and tags of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        for name, value in attrs:
            if name == "id":
                self.ids.append(value or "")
            if name in ("href", "src"):
                self.links.append(value or "")


def test_every_line_of_the_page_leads_to_words_that_are_there() -> None:
    """Each link to a passage has its target once, and nothing is fetched from elsewhere."""
    reader = _Page()
    reader.feed(page(compose(_reading()), {1: "take-01.flac"}))
    assert len(reader.ids) == len(set(reader.ids))
    inside = {link[1:] for link in reader.links if link.startswith("#")}
    assert inside <= set(reader.ids)
    assert {f"p{n}" for n in range(1, 7)} <= set(reader.ids)
    outside = {link for link in reader.links if not link.startswith("#")}
    assert "take-01.flac#t=3.0" in outside
    assert all(link.startswith("take-01.flac#t=") for link in outside)


def test_spoken_text_cannot_act_in_the_page() -> None:
    """Text with tags stays text: the only tags are the template's."""
    html = page(compose(_reading()))
    reader = _Page()
    reader.feed(html)
    assert "script" not in reader.tags
    assert "&lt;script&gt;" in html


def test_spoken_text_cannot_act_in_markdown() -> None:
    """Source: markdown-it-py, a CommonMark parser: the spoken line becomes no tag, link, code or table."""
    rendered = markdown_it.MarkdownIt("commonmark").enable("table").render(markdown(compose(_reading())))
    assert "<script" not in rendered
    assert "javascript:" not in re.findall(r'href="([^"]*)"', rendered)
    assert "alert(1)" in rendered
    assert "<code>" not in rendered


def test_bare_addresses_and_dollar_signs_stay_plain_text() -> None:
    """Source: CommonMark 0.31.2, backslash escapes (section 2.4); GitHub Flavored Markdown, extended autolinks, needs
    "://", "www." or "@" unbroken, and sums stand between bare dollar signs."""
    said = "five $5 and $6 at http://a.example or www.a.example or me@a.example"
    escaped = escape_markdown(said)
    assert not re.search(r"(?<!\\)://|www\.|(?<!\\)[@$]", escaped)
    assert markdown_it.MarkdownIt("commonmark").render(escaped) == f"<p>{said}</p>\n"


def test_markdown_tables_have_a_row_a_flavour() -> None:
    """Source: markdown-it-py reads the flavour table as a table with one body row."""
    rendered = markdown_it.MarkdownIt("commonmark").enable("table").render(markdown(compose(_reading())))
    assert len(re.findall(r"<tr>", rendered.split("<tbody>")[1].split("</tbody>")[0])) == 1


_TIMING = re.compile(r"^(?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3} --> (?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}$")


def test_the_transcript_is_valid_webvtt() -> None:
    """Source: W3C WebVTT, section 4: signature, blank line, cue identifier without "-->", timings with end after
    start, text without "-->" and with & and < escaped; and webvtt-py reads it back to the same words."""
    review = compose(_reading())
    text = transcript(review)
    lines = text.split("\n")
    assert lines[0] == "WEBVTT"
    assert lines[1] == ""
    blocks = [b.split("\n") for b in text.strip().split("\n\n")[1:]]
    for name, timing, *words in blocks:
        assert "-->" not in name
        assert _TIMING.match(timing)
        start, end = timing.split(" --> ")
        assert end > start
        assert len(words) == 1
        assert "-->" not in words[0]
        assert not re.search(r"&(?!amp;|lt;|gt;)|<", words[0])
    assert [c.identifier for c in webvtt_reader.from_string(text)] == [p.id for p in review.passages]


def test_a_draft_is_written_whole_and_reads_back_equal(tmp_path: Path) -> None:
    """The four files, no temporary one, and the same review again."""
    review = compose(_reading())
    write.write_draft(review, tmp_path / "new" / "draft")
    names = sorted(p.name for p in (tmp_path / "new" / "draft").iterdir())
    assert names == ["review.html", "review.json", "review.md", "transcript.vtt"]
    assert write.read_review(tmp_path / "new" / "draft" / "review.json") == review


def test_an_output_that_is_a_file_is_refused_in_one_sentence(tmp_path: Path) -> None:
    """The message names the path and the next step; nothing is left behind."""
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    with pytest.raises(OutputError, match=r"is a file, not a folder. Choose another --output"):
        write.write_draft(compose(_reading()), tmp_path / "taken")
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "mine"


def test_a_full_disk_is_told_and_leaves_the_old_draft_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No space while writing: the error names the folder, the former file stays as it was."""
    (tmp_path / "review.json").write_text("old", encoding="utf-8")

    def full(fd: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(write.os, "fsync", full)
    with pytest.raises(OutputError, match="no space left"):
        write.write_draft(compose(_reading()), tmp_path)
    assert (tmp_path / "review.json").read_text(encoding="utf-8") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["review.json"]


def test_the_caution_is_in_every_readable_form() -> None:
    """Tobacco and alcohol, legal age, fire, local law, no health claims."""
    review: Review = compose(_reading())
    assert CAUTION in page(review)
    assert CAUTION in markdown(review)
    assert review.caution == CAUTION
