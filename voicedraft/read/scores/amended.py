"""Rule: a mark changed later: "that nine, make it eight and a half", "the draw, up a half", "take that down to seven".

Which mark is changed is told by its aspect or by its old value, or it is the one given just before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from voicedraft.read.scores.aside import set_aside
from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.decide import Given, Told, place_of
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.relative import amount, counts_things, told_by_others

_SMALL = frozenset({"a", "an", "the", "my", "straight", "even", "say", "maybe", "just", "about", "good", "full"})
_BACK = 1
"""Sentences back to the mark that "make it" changes; our own choice, no outside source."""
_SAYING = 2
"""Small words between the turn and its number; our own choice, no outside source."""


@dataclass(frozen=True, slots=True)
class _Change:
    """Tokens `[first, last)` that set a mark to `value`, or move it `by` so much."""

    first: int
    last: int
    value: float | None
    by: float = 0.0


def amended(rows: Sequence[Line], given: Sequence[Given], words: Words) -> list[Given]:
    """The scores with those told by another mark among them, and every later change of a mark in its place, in the
    order in which they were said."""
    out = {g.aspect: g for g in given}
    for line in rows:
        for change in _changes(line, words):
            old = _changed(rows, line, change, [*out.values()], words)
            if old is None:
                continue
            value = change.value if change.value is not None else old.value + change.by
            if 0 <= value <= old.out_of and value != old.value:
                told = Told(line, change.first, change.last, f"changes the mark of {old.aspect}")
                out[old.aspect] = replace(old, value=value, mark=None, mention=None, signs=(), told=told)
        told_by_others(rows, line, out, words)
    return sorted(out.values(), key=place_of)


def _changes(line: Line, words: Words) -> list[_Change]:
    out: list[_Change] = []
    for first, end in line.find(words.amend):
        at = end
        while at < end + _SAYING and line.text(at) in _SMALL:
            at += 1
        number = next((n for n in line.numbers if n.first == at and not n.ordinal), None)
        if number is not None and not counts_things(line, number.last, words):
            out.append(_Change(first, number.last, number.value))
    for phrases, sign in ((words.raised, 1.0), (words.lowered, -1.0)):
        for first, end in line.find(phrases):
            told = amount(line, end, words) if end - first > 1 or _plain(line, first) else None
            if told is not None and not any(c.first < told[0] and first < c.last for c in out):
                out.append(_Change(first, told[0], None, sign * told[1]))
    return sorted((c for c in out if not set_aside(line, c.first, c.last, words)), key=lambda c: c.first)


def _plain(line: Line, i: int) -> bool:
    """Whether a lone "up" or "down" moves a mark: "that's down one"; not "opens up, one of the best", "hands down"."""
    return line.text(i) not in ("up", "down") or (line.joined(i) and line.text(i - 1) in _MOVING)


_MOVING = frozenset({"that's", "it's", "'s", "is", "goes", "go", "going", "so", "it", "that"})


def _changed(
    rows: Sequence[Line], line: Line, change: _Change, given: Sequence[Given], words: Words
) -> Given | None:
    """The mark that is changed, given before the change."""
    here = (line.index, change.first)
    first = (line.index, 0) if change.value is None else here
    earlier = [g for g in given if place_of(g) < first]
    found = {g.aspect: g for g in earlier}
    later = {g.aspect for g in given if place_of(g) >= here}
    named = [called(line, s, words) for s in spans(line, words)]
    if named:
        known = [found[a] for a in named if a in found]
        return known[-1] if len({g.aspect for g in known}) == 1 and not later & set(named) else None
    stated = [n.value for n in line.numbers if n.last <= change.first]
    old = [g for g in earlier if g.value in stated]
    if len(old) == 1:
        return old[0]
    if line.index == 0:
        return None
    before = [found[a] for a in (called(rows[line.index - 1], s, words) for s in spans(rows[line.index - 1], words))
              if a in found]
    if not (_strong(line, change, words) or line.noun(words)):
        return None
    near = [g for g in earlier if line.index - place_of(g)[0] <= _BACK]
    return before[-1] if before else max(near, key=place_of, default=None)


def _strong(line: Line, change: _Change, words: Words) -> bool:
    """Whether the turn itself speaks of marks: "make it", "bump it up", "a point"."""
    told = line.texts[change.first : change.last]
    return told[0] in _STRONG or not words.units.isdisjoint(told)


_STRONG = frozenset({
    "make", "making", "bump", "raise", "lift", "put", "knock", "dock", "shave", "trim", "change", "revise",
})
