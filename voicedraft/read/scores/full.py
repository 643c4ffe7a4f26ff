"""Rule: as many marks as there are: "full marks for the draw", "on construction it gets all five"."""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.aspect import beside, name, named_after
from voicedraft.read.scores.line import Line, Phrases, Words

_FULL = Phrases.of(("full marks", "top marks", "maximum marks", "full points", "maximum points", "a perfect score"))
_ALL = frozenset({"all", "whole"})
_GIVES = 4
"""Tokens between a verb of giving and "all five"; our own choice, no outside source."""


@dataclass(frozen=True, slots=True)
class Full:
    """All the marks for `aspect`, told by tokens `[first, last)`; `value` where they say how many there are."""

    aspect: str
    first: int
    last: int
    value: float | None


def full_marks(line: Line, words: Words) -> list[Full]:
    """Every aspect that gets all the marks."""
    out = []
    for first, last in line.find(_FULL) if line.section == "verdict" else []:
        elsewhere = line.text(last) == "to" and not any(last < a <= last + 2 for a, _ in line.find(words.aspects))
        if elsewhere or any(n.first <= last + 1 and n.last >= last for n in line.numbers):
            continue
        stop = min((n.first for n in line.numbers if n.first >= last), default=len(line.tokens))
        aspect = named_after(line, last, stop, words) or beside(line, Number(0.0, first, last), True, words)
        out += [Full(aspect, first, last, None)] if aspect is not None else []
    return out + [found for n in line.numbers if (found := _all_of(line, n, words)) is not None]


def _all_of(line: Line, number: Number, words: Words) -> Full | None:
    """"It gets all five", "the whole ten for the draw"; "all five were tight" counts cigars."""
    whole = line.text(number.first - 1) in _ALL and line.joined(number.first)
    if not whole or words.give.isdisjoint(line.texts[max(number.first - _GIVES, 0) : number.first]):
        return None
    if line.joined(number.last) and line.text(number.last) not in ("for", "on", *words.units):
        return None
    before = [s for s in line.find(words.aspects) if s[1] <= number.first]
    aspect = named_after(line, number.last, len(line.tokens), words)
    aspect = aspect or (name(line, before[-1], words) if before else None)
    return Full(aspect, number.first - 1, number.last, number.value) if aspect is not None else None
