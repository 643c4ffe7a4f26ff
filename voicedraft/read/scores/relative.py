"""Rule: a mark told by another mark: "two below that", "half a point more than the draw", "level with the looks".

Which mark is meant is the aspect named after the turn, or the mark given last before it. Nothing is read where the
aspect marked so has a number of its own, or where the mark it is told by was not given.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from voicedraft.read.scores.aside import set_aside
from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.decide import LEVELS, Given, Told, place_of
from voicedraft.read.scores.line import Line, Words

_REACH = 6
"""Tokens between the turn and the aspect that it names; our own choice, no outside source."""
_BACK = 2
"""Sentences back to the mark that "that" means; our own choice, no outside source."""
_THOSE = frozenset({"those", "them"})
_THAT = frozenset({"that", "it", "this", "the"}) | _THOSE
_ONE = frozenset({"a", "one", "another", "1"})
_ARTICLES = frozenset({"a", "an"})
_OF = frozenset({"of", "each", "left", "to", "last", "more", "from", "all", "at", "in", "after"})
_ODDS = 1.0
"""Log-odds that such a mark is shown with; it is a rule's."""


@dataclass(frozen=True, slots=True)
class _Turn:
    """`by` more (or, below zero, fewer) marks, told by tokens `[first, end)`; the other mark is named from `end` on."""

    first: int
    end: int
    by: float


def told_by_others(rows: Sequence[Line], line: Line, out: dict[str, Given], words: Words) -> None:
    """Put the marks that the line tells by another one into `out`, the scores by aspect."""
    turns = _turns(line, words)
    for turn in turns:
        if set_aside(line, turn.first, turn.end, words):
            continue
        aspect = _marked(rows, line, turn, len(turns) == 1, words)
        other = _other(line, turn, aspect, [*out.values()], words)
        if aspect is None or other is None or aspect == other.aspect or aspect in LEVELS:
            continue
        own = out.get(aspect)
        if own is not None and not _within(own, line, turn):
            continue
        value = other.value + turn.by
        if 0 <= value <= other.out_of:
            told = Told(line, turn.first, min(turn.end + 1, len(line.tokens)), f"told by {other.aspect}")
            out[aspect] = Given(aspect, value, other.out_of, _ODDS, (), None, None, told)


def _within(own: Given, line: Line, turn: _Turn) -> bool:
    """Whether the mark that the aspect has is only the number in the turn: "two below that" is no two."""
    at, first = place_of(own)
    return at == line.index and turn.first <= first < turn.end


def _turns(line: Line, words: Words) -> list[_Turn]:
    out = []
    for first, end in line.find(words.fewer):
        by = _amount_before(line, first, words)
        out += [] if by is None else [_Turn(by[0], end, -by[1])]
    for first, end in line.find(words.further):
        by = _amount_before(line, first, words)
        out += [] if by is None else [_Turn(by[0], end, by[1])]
    if line.noun(words) or line.noun_in(words.give) or line.noun_in(words.units):
        out += [_Turn(first, end, 0.0) for first, end in line.find(words.level)]
    return sorted(out, key=lambda t: t.first)


def _amount_before(line: Line, i: int, words: Words) -> tuple[int, float] | None:
    """(first token, amount) of the marks told right before token `i`: "two", "half a point", "a mark and a half"."""
    end = i - 1 if i and line.text(i - 1) in words.units else i
    number = next((n for n in line.numbers if n.last in (end, end - 1) and n.last > 0 and not n.ordinal), None)
    if number is not None and (number.last == end or line.text(end - 1) in _ONE):
        value, first = number.value, number.first
        if value < 1 and line.text(first - 1) in ("and", "a") and end == i:
            whole = [k for k in range(max(0, first - 3), first) if line.text(k) in words.units]
            if whole and line.text(whole[0] - 1) in _ONE:
                return whole[0] - 1, 1.0 + value
        return first, value
    if end < i and line.text(end - 1) in _ONE:
        half = line.text(end - 2) == "half"
        return (end - 2, 0.5) if half else (end - 1, 1.0)
    if line.text(i - 1) == "half":
        return i - 1, 0.5
    return None


def counts_things(line: Line, last: int, words: Words) -> bool:
    """"two relights", "half an inch", "one of the best", "seven each": the number before token `last` is of something
    that is no mark."""
    i = last
    while line.text(i) in _ARTICLES and line.joined(i):
        i += 1
    if i >= len(line.tokens) or line.tokens[i].breaks or line.text(i) in words.units:
        return False
    noun = i + (line.pos[i] == "ADJ")
    named = any(a <= noun < b for a, b in spans(line, words))
    thing = noun < len(line.pos) and line.pos[noun] in ("NOUN", "PROPN", "SYM") and not named
    return line.text(i) in _OF or thing


def amount(line: Line, i: int, words: Words) -> tuple[int, float] | None:
    """(one past the last token, amount) of the marks told from token `i` on: "one", "half a star", "a point"."""
    while line.text(i) in ("by", "another", "it", "that") and i < len(line.texts):
        i += 1
    if i < len(line.tokens) and line.tokens[i].breaks:
        return None
    number = next((n for n in line.numbers if n.first in (i, i + 1) and not n.ordinal), None)
    if number is not None and (number.first == i or line.text(i) in _ONE):
        last = number.last
        while line.text(last) in (*words.units, *_ARTICLES) and line.joined(last):
            last += 1
        marked = line.text(last - 1) in words.units
        return None if not marked and counts_things(line, number.last, words) else (last, number.value)
    if line.text(i) in _ONE and line.text(i + 1) in words.units:
        half = line.texts[i + 2 : i + 5] == ("and", "a", "half")
        return (i + 5, 1.5) if half else (i + 2, 1.0)
    return (i + 1, 0.5) if line.text(i) == "half" else None


def _marked(rows: Sequence[Line], line: Line, turn: _Turn, alone: bool, words: Words) -> str | None:
    """The aspect that the turn marks: named before it in the sentence, or after it, or asked for in the one before.

    alone: it is the sentence's only turn; one of several takes its aspect from its own clause.
    """
    before = [s for s in spans(line, words) if s[1] <= turn.first]
    here = [s for s in before if line.clause[s[0]] == line.clause[turn.first]]
    if not here and not alone:
        return None
    if before:
        own = before[0] if line.text(turn.end) in _THOSE and len(before) > 1 else before[-1]
        return called(line, own, words)
    after = [s for s in spans(line, words) if s[0] >= turn.end]
    if len(after) > 1 or (after and line.text(turn.end) in _THAT - {"the"}):
        return called(line, after[-1], words)
    if line.index and len(rows[line.index - 1].tokens) <= _REACH:
        asked = spans(rows[line.index - 1], words)
        if len(asked) == 1 and not rows[line.index - 1].numbers:
            return called(rows[line.index - 1], asked[0], words)
    return None


def _other(line: Line, turn: _Turn, aspect: str | None, given: Sequence[Given], words: Words) -> Given | None:
    """The mark that the turn is measured from."""
    found = {g.aspect: g for g in given}
    named = [s for s in spans(line, words) if turn.end <= s[0] <= turn.end + _REACH]
    if named:
        return found.get(called(line, named[0], words))
    if line.text(turn.end) not in _THAT:
        return None
    if line.text(turn.end) in _THOSE:
        back = [called(line, s, words) for s in spans(line, words) if s[1] <= turn.first]
        told = [found[a] for a in back[::-1] if a in found and a != aspect]
        if told:
            return told[0]
    here = (line.index, turn.first)
    earlier = [g for g in given if place_of(g) < here and line.index - place_of(g)[0] <= _BACK and g.aspect != aspect]
    return max(earlier, key=place_of, default=None)
