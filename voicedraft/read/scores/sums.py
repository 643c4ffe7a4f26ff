"""Rule: marks taken off one by one, and what is left: "start at a hundred, minus six for the draw, so ninety-four".

What is taken off is no mark; what is left is the mark of the whole, or of the aspect that the sentence opens with.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.line import Line

_TAKES = frozenset({
    "minus", "lost", "lose", "loses", "losing", "deduct", "deducted", "deducting", "subtract", "subtracted", "dock",
    "docked", "docking", "knock", "knocked", "take", "took", "takes", "taking", "drop", "dropped", "less",
})
_OFF = frozenset({"off", "away", "from"})
_PLAIN = frozenset({
    "minus", "lost", "lose", "loses", "losing", "deduct", "deducted", "deducting", "subtract", "subtracted", "dock",
    "docked", "docking", "dropped", "less",
})
_LEFT = frozenset({
    "leaves", "leaving", "left", "so", "arrive", "arrives", "makes", "comes", "gives", "equals", "is", "that's",
    "lands", "remain", "remains", "total", "keeps", "brings", "down", "which", "'s", "get", "gets", "ends", "end", "at",
})
_UNITS = frozenset({
    "minutes", "minute", "hours", "hour", "dollars", "pounds", "euros", "quid", "percent", "£", "$", "€", "inches",
})
_REACH = 4


@dataclass(frozen=True, slots=True)
class Sum:
    """`left` is what remains; `top` what it was taken from, None where the scale was said elsewhere."""

    left: Number
    top: Number | None


def summed(line: Line, before: Line | None) -> Sum | None:
    """The sum of the line, its top said in the line or in the one before ("Fifty to play with")."""
    taken = taken_off(line)
    if not taken or any(t.text in _UNITS for t in line.tokens):
        return None
    values = [n for n in line.numbers if (line.text(n.first - 2), line.text(n.first - 1)) != ("out", "of")]
    left = values[-1]
    if left in taken or left.first <= taken[-1].first or not _remains(line, taken[-1], left):
        return None
    top = next((n for n in line.numbers if n.first < taken[0].first and n not in taken), None)
    if top is None and before is not None and len(before.numbers) == 1 and len(before.tokens) <= 2 * _REACH:
        top = before.numbers[0]
    if top is not None and abs(top.value - sum(n.value for n in taken) - left.value) > 1e-6:
        return None
    return Sum(left, top)


def taken_off(line: Line) -> list[Number]:
    """The numbers that are taken off: governed by a verb of taking, or joined to such a one by "and … for"."""
    out: list[Number] = []
    for number in line.numbers:
        near = [line.text(i) for i in range(max(number.first - 3, 0), number.first)]
        verb = [i for i, w in enumerate(near) if w in _TAKES]
        off = not _OFF.isdisjoint([*near, line.text(number.last), line.text(number.last + 1)])
        governed = bool(verb) and (near[verb[-1]] in _PLAIN or off) and near[verb[-1] + 1 :] in (
            [], ["off"], ["another"], ["a"], ["me"], ["it"], ["away"], ["a", "further"],
        )
        joined = bool(out) and line.text(number.last) in ("for", "on") and near[-1:] in (["and"], ["then"], ["another"])
        listed = bool(out) and line.text(number.last) in ("for", "on") and line.tokens[number.first].breaks
        if governed or joined or listed:
            out.append(number)
    return out


def _remains(line: Line, taken: Number, left: Number) -> bool:
    words = [line.text(i) for i in range(max(left.first - _REACH, taken.last), left.first)]
    alone = left.last == len(line.tokens) and line.tokens[left.first].breaks
    return alone or not _LEFT.isdisjoint(words)
