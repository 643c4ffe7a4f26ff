"""Rule: a sentence that does nothing but name flavours says that they are there: "Chocolate.", "Cedar, and walnut."."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.denial import NAE, NOPE, NOT
from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.tokens import Tokens

_SMALL = frozenset({"and", "a", "an", "some", "the", "then", "with", "also", "more", "again", "bit", "of", "little",
                    "plus", "too", ",", ".", ";", ":", "-", "–", "—", "…", "!"})
_ANSWER_NO = NOT | NOPE | NAE | {
    "none", "nothing", "nowhere", "gone", "neither", "hardly", "barely", "absent", "missing", "faded", "fading", "zero",
    "nil",
}
_ANSWERED = 3
"""Words at the head of the next sentence in which it may be denied."""


def bare(row: Tokens, mentions: Sequence[Mention]) -> list[bool]:
    """For each mention, whether its sentence only names flavours, and neither the sentence that led to such a row of
    names nor the head of the next one denies them: "What I don't get. Chocolate. Cedar.", "Chocolate. Not a trace."."""
    named = {i for m in mentions for i in range(m.first, m.last)}
    only = [
        all(i in named or row.rows[i].lower in _SMALL for i in range(begin, end)) for begin, end in row.bounds
    ]
    sentences = [row.rows[m.first].sentence for m in mentions]
    return [only[s] and not _denied(row, only, s) for s in sentences]


def _denied(row: Tokens, only: Sequence[bool], sentence: int) -> bool:
    """Whether the nearest sentence before that says more, or the head of the next sentence, holds a denial."""
    beside: set[str] = set()
    if sentence + 1 < len(row.bounds):
        first, last = row.bounds[sentence + 1]
        beside |= {row.rows[i].lower for i in range(first, min(first + _ANSWERED, last))}
    before = next((s for s in range(sentence - 1, -1, -1) if not only[s]), None)
    if before is not None:
        beside |= {row.rows[i].lower for i in range(*row.bounds[before])}
    return not _ANSWER_NO.isdisjoint(beside)
