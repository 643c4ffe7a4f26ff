"""Rule: aspects told in a row and their marks in a row after them, each in its turn: "in order, looks, draw, burn,
flavour, so that's eight, nine, five and seven"."""

from __future__ import annotations

from itertools import pairwise

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.line import Line, Phrases, Words

_LEAST = 3
"""As many at least where nothing says that they are in order; our own choice, no outside source."""
_BETWEEN = frozenset({"and", "the", "then", "a", "an", "for", "lastly", "finally"})
_SAID = Phrases.of(("in order", "in that order", "respectively", "in turn"))


def in_order(line: Line, words: Words) -> list[tuple[Number, str]]:
    """Each number with its aspect, [] where the sentence has no such rows."""
    named = spans(line, words)
    counted = [n for n in line.numbers if not n.ordinal and line.text(n.first - 1) != "of"]
    least = 2 if line.find(_SAID) else _LEAST
    if len(named) < least or len(named) != len(counted) or counted[0].first < named[-1][1]:
        return []
    rows = [(a[1], b[0]) for a, b in pairwise(named)] + [(a.last, b.first) for a, b in pairwise(counted)]
    if not all(set(line.texts[first:last]) <= _BETWEEN for first, last in rows):
        return []
    return [(number, called(line, span, words)) for span, number in zip(named, counted, strict=True)]
