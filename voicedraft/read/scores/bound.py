"""Rule: what a number cannot be of by the grammar of its sentence, however near the aspect stands.

In "flavour's one up on the draw, so 91" the draw is only what is compared with; in "eight on appearance and nine on the
draw" each number has its own aspect.
"""

from __future__ import annotations

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.comparison import turns_with_amounts
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.topic import REASONS, passed_by

_LEADS = frozenset({"for", "on"})
_BETWEEN = frozenset({"for", "on", "the", "its", "my", "a", "out", "of", "points", "stars", "marks", "each"})
_JOINED = frozenset({"and", "the", "for", "on"})
_NEXT = 2
"""Tokens between a turn of comparison and the aspect that is compared with; our own choice, no outside source."""


def barred(line: Line, words: Words) -> set[tuple[int, str]]:
    """(first token of a number, aspect) of what cannot go together."""
    named = spans(line, words)
    if not named or not line.numbers:
        return set()
    passing = {(n.first, aspect) for aspect in passed_by(line, words) for n in line.numbers}
    return _compared(line, named, words) | _bound(line, named, words) | _reasons(line, named, words) | passing


def _compared(line: Line, named: list[tuple[int, int]], words: Words) -> set[tuple[int, str]]:
    """Numbers from a turn of comparison on, with the aspects that it only compares with."""
    out: set[tuple[int, str]] = set()
    for first, end in turns_with_amounts(line, words):
        held = [s for s in named if end <= s[0] <= end + _NEXT and all(line.joined(i) for i in range(end, s[0] + 1))]
        aspects = {called(line, s, words) for s in held[:1]}
        aspects -= {called(line, s, words) for s in named if s not in held[:1]}
        out |= {(n.first, aspect) for n in line.numbers if n.last > first for aspect in aspects}
    return out


def _reasons(line: Line, named: list[tuple[int, int]], words: Words) -> set[tuple[int, str]]:
    """"Construction's an 81 on account of the draw": numbers of the clause with an aspect that only tells why."""
    out: set[tuple[int, str]] = set()
    for _, end in line.find(REASONS):
        told = [s for s in named if end <= s[0] <= end + _NEXT and all(line.joined(i) for i in range(end, s[0] + 1))]
        for number in (n for n in line.numbers if n.last <= end):
            clause = line.clause_range(line.clause[number.first])
            own = [s for s in named if clause[0] <= s[0] and s[1] <= number.first and s not in told]
            aspects = {called(line, s, words) for s in told} - {called(line, s, words) for s in named if s not in told}
            out |= {(number.first, aspect) for aspect in aspects} if own else set()
    return out


def _bound(line: Line, named: list[tuple[int, int]], words: Words) -> set[tuple[int, str]]:
    """Numbers that have an aspect of their own, with the aspects of the other such numbers."""
    own: dict[int, set[str]] = {}
    for number in line.numbers:
        found = _of(line, number, named)
        if found:
            own[number.first] = {called(line, s, words) for s in found}
    return {
        (at, aspect) for at, mine in own.items() for other, theirs in own.items() if other != at
        for aspect in theirs - mine
    }


def _of(line: Line, number: Number, named: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The aspects that the number is said to be for: "nine for the draw and the burn"."""
    out: list[tuple[int, int]] = []
    for span in named:
        if not out:
            between = [line.text(i) for i in range(number.last, span[0])]
            broken = any(line.tokens[i].breaks for i in range(number.last, span[0] + 1)) if between else True
            digits = {line.text(i) for n in line.numbers for i in range(n.first, n.last)}
            if span[0] > number.last and not broken and _LEADS.intersection(between[-2:]) and (
                set(between) <= _BETWEEN | digits
            ):
                out.append(span)
        elif {line.text(i) for i in range(out[-1][1], span[0])} <= _JOINED and span[0] > out[-1][1]:
            follows = any(n.first >= out[-1][1] and n.last <= span[0] for n in line.numbers)
            out += [] if follows else [span]
    return out
