"""Turns that tell one mark by another: how much more or less, and where the other mark is named.

"Two below", "half a point better than", "level with"; and the amounts that such turns are told with.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import spans
from voicedraft.read.scores.line import Line, Words

_ONE = frozenset({"a", "one", "another", "1"})
_ARTICLES = frozenset({"a", "an"})
_OF = frozenset({"of", "each", "left", "to", "last", "more", "from", "all", "at", "in", "after"})


@dataclass(frozen=True, slots=True)
class Turn:
    """`by` more (or, below zero, fewer) marks, told by tokens `[first, end)`; the other mark is named from `end` on.

    `times`: what part of the other mark it is ("half of what I gave the draw").
    """

    first: int
    end: int
    by: float
    times: float = 1.0


def turns(line: Line, words: Words) -> list[Turn]:
    out = []
    for first, end in line.find(words.fewer) + _alone(line, words.less):
        by = _amount_before(line, first, words)
        out += [] if by is None else [Turn(by[0], end, -by[1])]
    for first, end in line.find(words.further) + _alone(line, words.more):
        by = _amount_before(line, first, words)
        out += [] if by is None else [Turn(by[0], end, by[1])]
    if line.noun(words) or line.noun_in(words.give) or line.noun_in(words.units) or line.noun_in(words.placing):
        out += [Turn(first, end, 0.0) for first, end in line.find(words.level)]
    told = (*_same_but(line, words), *_parts(line, words), *_listed(line, words))
    out += [t for t in told if not any(t.first < o.end and o.first < t.end for o in out)]
    return sorted(out, key=lambda t: t.first)


def _same_but(line: Line, words: Words) -> list[Turn]:
    """"The burn can have the same less two", "the same again plus a half", "the same mark, minus one": the mark before,
    and what is taken off it or put on."""
    if line.section != "verdict" and not line.noun(words):
        return []
    out = []
    for i in (i for i, text in enumerate(line.texts) if text == "same"):
        at = i + 1
        while line.text(at) in ("again", "but", "and", "mark", "score", "number", "with"):
            at += 1
        sign = -1.0 if line.text(at) in _MINUS else 1.0 if line.text(at) in _PLUS else 0.0
        found = amount(line, at + 1, words) if sign else None
        ends = found is not None and (found[0] >= len(line.tokens) or line.tokens[found[0]].breaks)
        if found is not None and ends:
            out.append(Turn(i - (line.text(i - 1) == "the"), found[0], sign * found[1]))
    return out


_MINUS, _PLUS = frozenset({"less", "minus", "bar"}), frozenset({"plus"})


def _parts(line: Line, words: Words) -> list[Turn]:
    """"Half of what I gave the draw", "half the mark of the draw", "twice what the burn got"; not "half what the draw
    promised"."""
    out = []
    for i in (i for i, text in enumerate(line.texts) if text in _TIMES):
        after = i + 1 + (line.text(i + 1) == "of")
        end = next((last for first, last in line.find(words.part_of, after) if first == after), after)
        bare = end == after + 1 and not _got(line, end, words)
        out += [Turn(i, end, 0.0, _TIMES[line.text(i)])] if end > after and not bare else []
    return out


def _got(line: Line, first: int, words: Words) -> bool:
    """Whether an aspect at token `first` and a word of having a mark follow, with nothing behind them."""
    ends = [last for a, last in spans(line, words) if first <= a <= first + 1]
    return any(line.text(i) in _GOT and (i + 1 >= len(line.tokens) or line.tokens[i + 1].breaks) for i in ends)


_GOT = frozenset({"got", "gets", "had", "has", "scored", "scores", "earned"})
_TIMES = {"half": 0.5, "twice": 2.0, "double": 2.0}


def _listed(line: Line, words: Words) -> list[Turn]:
    """"Draw fifteen, taste sixteen, looks as the draw": two aspects in a list and nothing but a level between them."""
    if line.section != "verdict" or not line.numbers:
        return []
    named = spans(line, words)
    return [
        Turn(a[1], b[0] - (line.text(b[0] - 1) == "the"), 0.0) for a, b in pairwise(named)
        if line.texts[a[1] : b[0]] in _LEVELS and line.texts[a[1] - 1 : a[1] + 1] != ("looks", "like")
        and all(line.joined(i) for i in range(a[1], b[0] + 1))
        and (b[1] >= len(line.tokens) or line.tokens[b[1]].breaks) and _starts(line, a[0])
    ]


def _starts(line: Line, i: int) -> bool:
    """Whether token `i` begins its clause, "the" and "and" aside."""
    return i == 0 or line.clause[i - 1] != line.clause[i] or line.text(i - 1) in ("the", "and")


_LEVELS = frozenset(
    tuple(f"{lead} {the}".split())
    for lead in ("as", "like", "same as", "the same as", "as for", "level with") for the in ("", "the")
)


def turns_with_amounts(line: Line, words: Words) -> list[tuple[int, int]]:
    """Tokens `[first, end)` of every turn that tells by how much one mark differs from another."""
    return [(t.first, t.end) for t in turns(line, words) if t.by]


def _alone(line: Line, forms: frozenset[str]) -> list[tuple[int, int]]:
    """Comparatives that end their clause: "five fewer.", "a point better,"."""
    return [
        (i, i + 1) for i, text in enumerate(line.texts)
        if text in forms and line.joined(i) and (i + 1 == len(line.tokens) or line.tokens[i + 1].breaks)
    ]


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
    i = _thing(line, last, words)
    return i is not None and (line.text(i) in _OF or _noun(line, i, words))


def only_counts(line: Line, number: Number, words: Words) -> bool:
    """"Scores, four of them", "I counted four changes of cast": the number is how many there are."""
    i = _thing(line, number.last, words)
    if i is None:
        return False
    of_them = line.tokens[number.first].breaks and line.text(i) == "of" and line.text(i + 1) in _THEM
    return of_them or (not _COUNTING.isdisjoint(line.texts[:i]) and _noun(line, i, words))


_COUNTING = frozenset({"counted", "counting"})
_THEM = frozenset({"them", "these", "those"})


def _thing(line: Line, last: int, words: Words) -> int | None:
    """The first token of what the number before token `last` may count; None where its clause ends there or marks
    follow."""
    i = last
    while line.text(i) in _ARTICLES and line.joined(i):
        i += 1
    return None if i >= len(line.tokens) or line.tokens[i].breaks or line.text(i) in words.units else i


def _noun(line: Line, i: int, words: Words) -> bool:
    """Whether token `i` begins a thing that is no aspect: a noun, or an adjective before one."""
    noun = i + (line.pos[i] == "ADJ")
    named = any(a <= noun < b for a, b in spans(line, words))
    return noun < len(line.pos) and line.pos[noun] in ("NOUN", "PROPN", "SYM") and not named


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
