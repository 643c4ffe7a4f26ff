"""Rule: a speaker who tells how strong each flavour is by a number ("walnut, three of five") gives no marks by it."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Sequence

from voicedraft.read.scores.decide import Given, place_of
from voicedraft.read.scores.line import TASTED, Line, Words
from voicedraft.read.scores.scale import scales

_OFTEN = 3
"""Flavours with a number on the same scale from which on it is one of amounts; our own choice."""
_IN_ONE = 2
"""As many of them in one section at least: one a section may be the mark of a third."""


def without_amounts(
    given: Sequence[Given], rows: Sequence[Line], flavours: Container[str], words: Words
) -> list[Given]:
    """The scores without those said among flavours on a scale that counts how strong they are.

    flavours: names of flavours, lower case. A mark that is called one ("my mark for this third"), and one of an aspect
    that is named nearer before it than any flavour ("draw, four of five"), stays.
    """
    used: dict[float, Counter[str]] = defaultdict(Counter)
    for line in rows:
        for scale in scales(line) if line.section in TASTED else ():
            used[scale.out_of][line.section] += _of_a_flavour(line, scale.first, flavours, words)
    of_amounts = {
        out_of for out_of, by_section in used.items()
        if by_section.total() >= _OFTEN and max(by_section.values()) >= _IN_ONE
    }
    return [g for g in given if g.out_of not in of_amounts or not _among_flavours(rows, g, flavours, words)]


def _among_flavours(rows: Sequence[Line], given: Given, flavours: Container[str], words: Words) -> bool:
    index, first = place_of(given)
    line = rows[index]
    return line.section in TASTED and not line.noun(words) and _of_a_flavour(line, first, flavours, words)


def _of_a_flavour(line: Line, at: int, flavours: Container[str], words: Words) -> bool:
    """Whether what is named nearest before token `at`, a flavour by one word or two or an aspect, is a flavour, and
    nothing before it names how the cigar is made ("the draw, with the cream, six of ten")."""
    tasted = [
        i for i in range(at)
        if line.text(i) in flavours or (i + 1 < at and f"{line.text(i)} {line.text(i + 1)}" in flavours)
    ]
    aspects = [last - 1 for _, last in line.find(words.aspects, 0, at)]
    made = any(line.text(i) in _MADE and line.text(i - 1) not in _UNLIT for i in aspects)
    return not made and bool(tasted) and max(tasted) > max(aspects, default=-1)


_MADE = frozenset({"draw", "burn", "ash", "construction", "appearance", "looks"})
_UNLIT = frozenset({"cold", "dry", "unlit"})
"""A cold draw is tasted."""
