"""Rule: a speaker who tells how strong each flavour is by a number ("walnut, three of five") gives no marks by it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Sequence

from voicedraft.read.scores.decide import Given, place_of
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.scale import scales

_TASTED = frozenset({"prelight", "first_third", "second_third", "final_third"})
_OFTEN = 3
"""Sentences about flavours with a number on the same scale from which on it is one of amounts; our own choice."""


def without_amounts(
    given: Sequence[Given], rows: Sequence[Line], flavours: Container[str], words: Words
) -> list[Given]:
    """The scores without those said among flavours on a scale that counts how strong they are.

    flavours: names of flavours, lower case. A mark that is called one ("my mark for this third") stays.
    """
    used = Counter(
        scale.out_of for line in rows if line.section in _TASTED and _names_one(line, flavours)
        for scale in scales(line)[:1]
    )
    of_amounts = {out_of for out_of, times in used.items() if times >= _OFTEN}
    return [
        g for g in given
        if g.out_of not in of_amounts or rows[place_of(g)[0]].section not in _TASTED or rows[place_of(g)[0]].noun(words)
    ]


def _names_one(line: Line, flavours: Container[str]) -> bool:
    """Whether a word, or two in a row, name a flavour."""
    pairs = (f"{a} {b}" for a, b in zip(line.texts, line.texts[1:], strict=False))
    return any(text in flavours for text in (*line.texts, *pairs))
