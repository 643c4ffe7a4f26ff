"""Strength of each third, on mild 1 to full 5, from the words said of it.

Within a third the surest words win, and among equals the latest; a recap fills only thirds that nothing else tells of.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal, cast

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.facts.context import Line, session
from voicedraft.read.facts.subject import mark
from voicedraft.read.sign_weights import SignWeights
from voicedraft.read.strength.mention import STAGES, Mention
from voicedraft.read.strength.mentions import mentions, remarks
from voicedraft.read.strength.model import shipped
from voicedraft.read.strength.order import in_order
from voicedraft.read.strength.own_scale import numbered
from voicedraft.read.strength.verdict import of_all
from voicedraft.types import Evidence, Passage, Strength


def read_strength(
    analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon, weights: SignWeights | None = None,
) -> tuple[Strength, ...]:
    """The strength of each third that was told, in order. A third of which nothing was said is left out.

    weights: None for the shipped ones. Raises ModelError where they are missing.
    """
    told = mark(session(analysis, passages, lexicon), None)
    found = mentions(told.lines)
    lines = in_order(told.lines, remarks(told.lines, found), found, weights or shipped())
    return tuple(_strength(analysis, mention) for mention in standing(lines))


def standing(lines: Sequence[Line]) -> list[Mention]:
    """The mention of each third that stands, in order of thirds."""
    found = [*mentions(lines), *numbered(lines)] or of_all(lines)
    told = ([m for m in found if m.stage == stage] for stage in STAGES)
    return [max(mine, key=lambda m: (m.weight, m.line.index)) for mine in told if mine]


def _strength(analysis: Analysis, mention: Mention) -> Strength:
    first, last = mention.line.span(mention.first, mention.last)
    return Strength(
        stage=cast('Literal["first", "second", "final"]', mention.stage),
        low=mention.low, high=mention.high, passage=mention.line.passage, first=first, last=last,
        said=analysis.transcript.text(first, last),
        evidence=(Evidence("grammar", mention.detail, float(mention.weight), first, last),),
    )
