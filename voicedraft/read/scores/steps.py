"""Rule: a mark moved by an amount: "take the half off", "put another point on it", "so one more", "it can go up one".

An amount ("a half", "a mark and a half", "four points") moves a mark where a verb and a particle of its clause say
which way: adding ("put … on", "give … back"), taking ("take … off", "knock"), or the particle alone ("up a half").
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import spans
from voicedraft.read.scores.comparison import counts_things
from voicedraft.read.scores.line import Line, Words

_DETERMINERS = frozenset({"a", "an", "one", "another", "the", "its", "that", "his", "her"})
_BETWEEN = frozenset({
    "it", "that", "this", "there", "them", "her", "him", "back", "the", "another", "its", "my", "up", "down", "off",
    "a", "by", "just", "only", "maybe", "about", "me", "one", "straight", "say", "for", "on", "to", "in", "those",
})
"""What may stand between the verb and its amount, beside the aspect."""
_NEAR = 7
"""Tokens between the verb and its amount; our own choice, no outside source."""
_ADDED = frozenset({"on", "onto", "with", "back", "more", "extra"})
_TAKEN = frozenset({"off", "away", "from", "out"})
_LOOSE_ENDS = frozenset({"for", "it", "that", "the", "my", "because", "there", "what", "and", "to", "as"})
_MOVERS = frozenset({
    "go", "goes", "going", "come", "comes", "coming", "put", "putting", "puts", "move", "moves", "moving", "bring",
    "bump", "bumping", "nudge", "is", "'s", "it's", "that's", "knock", "take", "mark", "marking", "shift",
})
_FURTHER = frozenset({"other", "another", "extra"})
_LESS = frozenset({"less", "fewer"})
_SO = frozenset({"so", "then", "and", "but", "make", "that", "it", "give", "deserves", "gets", "worth", "'s", "that's"})


LAST, OTHER = "(last)", "(other)"
"""What a change may aim at beside an aspect: the mark given last, or the first of two that were given close before."""


@dataclass(frozen=True, slots=True)
class Change:
    """Tokens `[first, last)` that set a mark to `value`, said from token `at` on, or move it `by` so much.

    `old`: the number by which the sentence names the mark that is changed, where it is surely named so. `aim`: the
    aspect whose mark is meant where none is named, LAST or OTHER. `firm`: the value can be no mark of an aspect that
    the sentence does not name.
    """

    first: int
    last: int
    value: float | None
    by: float = 0.0
    at: int = -1
    old: Number | None = None
    aim: str = ""
    firm: bool = False


@dataclass(frozen=True, slots=True)
class _Amount:
    """So many marks, told by tokens `[first, last)`. `unit`: "a point", "half a star"; a bare number has none."""

    first: int
    last: int
    value: float
    unit: bool


def steps(line: Line, words: Words) -> list[Change]:
    """Every move of a mark by an amount, in order."""
    out = []
    for amount in _amounts(line, words):
        sign = _direction(line, amount, words)
        if sign:
            led = line.text(amount.first - 1) in ("another", "the", "its")
            out.append(Change(amount.first - led, amount.last, None, sign * amount.value))
    return out


def _amounts(line: Line, words: Words) -> list[_Amount]:
    """"A half", "its half", "half a point", "a mark and a half", "four points", "a point", "another one"."""
    out: list[_Amount] = []
    for number in line.numbers:
        if number.ordinal or number.value <= 0:
            continue
        first, last, value = number.first, number.last, number.value
        if value < 1 and line.text(first - 1) == "and" and line.text(first - 2) in words.units:
            first, value = first - 3, value + 1
        while line.text(last) in ("a", "an", "of") and line.joined(last) and line.text(last + 1) in words.units:
            last += 1
        unit = line.text(last) in words.units and line.joined(last)
        last += unit
        if unit or not _counted(line, last, words):
            out.append(_Amount(first, last, value, unit or first < number.first))
    held = {i for a in out for i in range(a.first, a.last)}
    out += [
        _Amount(i - 1, i + 1, 1.0, True) for i in range(1, len(line.tokens))
        if line.text(i) in words.units and line.joined(i) and line.text(i - 1) in _DETERMINERS
        and not held & {i - 1, i}
    ]
    return sorted(out, key=lambda a: a.first)


def _counted(line: Line, last: int, words: Words) -> bool:
    """Whether the number before token `last` counts things: "one more relight"; a particle of moving is no thing."""
    if line.text(last) == "more" and line.joined(last):
        return counts_things(line, last + 1, words)
    moved = line.text(last) in _ADDED | _TAKEN | {"to", "up", "down", "by"}
    return not moved and counts_things(line, last, words)


def _direction(line: Line, amount: _Amount, words: Words) -> float:
    """1.0 where the amount is added, -1.0 where it is taken off, 0.0 where it is neither."""
    first, last = amount.first, amount.last
    if any(a == last for a, _ in line.find(words.fewer, last, last + 3) if line.joined(a)) and not _off(line, last):
        return 0.0
    if any(a == last for a, b in line.find(words.further, last, last + 3) if b - a > 1 or line.text(a) in _OVERS):
        return 0.0
    verb = _verb(line, first, words)
    between = line.texts[verb + 1 : first] if verb is not None else ()
    after = line.texts[last : last + 2] if line.joined(last) else ()
    said = line.text(verb) if verb is not None else ""
    if _worth(line, first):
        return 0.0 if line.joined(last) and line.text(last) not in _LOOSE_ENDS else 1.0
    if said in words.docking or (said in words.taking and not _TAKEN.isdisjoint((*between, *after))):
        return -1.0
    if said in words.topping or (said in words.adding and _adds(between, after, line.text(first))):
        return 1.0
    return _bare(line, amount, words)


def _worth(line: Line, first: int) -> bool:
    """"That honey's worth the other half", "worth another point": what earns the amount at token `first`."""
    i = first if line.text(first) in _FURTHER else first - 1
    lead = i - 1 - (line.text(i - 1) in ("the", "an"))
    return line.text(i) in _FURTHER and line.text(lead) == "worth" and line.joined(lead + 1)


_OVERS = frozenset({"above", "over", "past", "beyond", "better"})


def _adds(between: Sequence[str], after: Sequence[str], opening: str) -> bool:
    """"Put … on", "give it back its half", "put another half"; "put it on eight" adds nothing."""
    return bool(
        _ADDED.intersection(after[:1]) or {"back", "another", "up"}.intersection(between) or opening == "another"
        or tuple(after) in (("by", "it"), ("to", "it"), ("to", "that"))
    )


def _verb(line: Line, first: int, words: Words) -> int | None:
    """The verb of adding or taking that governs the amount: the nearest before it in the clause, little between."""
    start, _ = line.clause_range(line.clause[first])
    named = {i for a, b in spans(line, words) for i in range(a, b)}
    for i in range(first - 1, max(start, first - _NEAR) - 1, -1):
        if line.text(i) in words.adding | words.taking | words.docking | words.topping:
            return i
        if line.text(i) not in _BETWEEN and i not in named:
            return None
    return None


def _off(line: Line, last: int) -> bool:
    """"A point off for the burn", "a half off it", "two off": taken off, not "two off the draw"."""
    if line.text(last) != "off" or not line.joined(last):
        return False
    i = last + 1
    return i >= len(line.tokens) or line.tokens[i].breaks or line.text(i) in _LOOSE_ENDS


def _bare(line: Line, amount: _Amount, words: Words) -> float:
    """The way that a particle alone tells: "up a half", "down by one", "so one more", "and a half on top"."""
    first, last = amount.first, amount.last
    i = first - 1 - (line.text(first - 1) == "by")
    if line.text(i) in ("up", "down") and line.joined(i + 1) and (line.text(i - 1) in _MOVERS or i == 0 or (
        line.tokens[i].breaks and last >= len(line.tokens)
    )):
        return 1.0 if line.text(i) == "up" else -1.0
    if not line.joined(last):
        return 0.0
    if line.texts[last : last + 2] == ("on", "top") and line.text(last + 2) not in ("of", "shelf"):
        return 1.0
    if amount.unit and _off(line, last):
        return -1.0
    ends = last + 1 >= len(line.tokens) or line.tokens[last + 1].breaks
    so = line.text(first - 1) in _SO and (line.tokens[first - 1].breaks or line.text(first - 2) in _SO)
    so = so or (line.tokens[first].breaks and bool(line.find(words.correction, 0, first)) and any(
        n.last <= first and not n.ordinal and not counts_things(line, n.last, words) for n in line.numbers
    ))
    sign = 1.0 if line.text(last) == "more" else -1.0 if line.text(last) in _LESS else 0.0
    return sign if ends and so else 0.0
