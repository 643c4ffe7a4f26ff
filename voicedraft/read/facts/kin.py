"""How a candidate's value compares with the others of its kind, in a time that grows with their number."""

from __future__ import annotations

from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from voicedraft.read.facts.candidates import Candidate

_STEPS = {
    "smoking": (35, 61, 105), "rest": (5, 15, 101, 1001), "ring": (36, 63), "length": (95, 186), "humidity": (62, 73),
}
"""Bounds between what is usual for a kind and what is not (common practice, no source)."""
BOXES = (5, 8, 10, 12, 15, 16, 18, 20, 24, 25, 30, 50)
"""How many cigars a box may hold (common practice, no source)."""
_SHARE, _EXACT = (0.82, 1.001), (0.998, 1.002)
"""Share of a box's price in its count times one that fits, and that fits exactly."""


@dataclass(frozen=True, eq=False)
class Kin:
    """All candidates of one kind in order of speech, with what each is compared by.

    `times`: how often each value was said. `of_line`: number of a line → its candidates `[first, last)`. `sums`:
    values in order of size. `plain`: those with their currency, or more than a whole number. `since`: value in
    hundredths → place of the first candidate that has it.
    """

    told: Sequence[Candidate]
    times: Counter[Any]
    of_line: dict[int, tuple[int, int]]
    sums: Sequence[Any]
    plain: Sequence[float]
    since: dict[int, int]


def kin(told: Sequence[Candidate]) -> Kin:
    """The candidates of one kind, looked over once."""
    of_line: dict[int, tuple[int, int]] = {}
    since: dict[int, int] = {}
    for k, c in enumerate(told):
        of_line[c.line.index] = (of_line.get(c.line.index, (k, k))[0], k + 1)
        if not isinstance(c.value, str):
            since.setdefault(round(100 * c.value), k)
    return Kin(
        told, Counter(c.value for c in told), of_line, sorted({c.value for c in told}),
        sorted({c.value for c in told if c.kind == "money" and (c.codes or c.shape != "whole")}), since,
    )


def worth(kin: Kin, k: int) -> set[str]:
    """How the value of candidate `k` compares with the others of its kind."""
    c = kin.told[k]
    out: set[str] = set()
    if c.value == kin.sums[-1]:
        out.add("most")
    if c.value == kin.sums[0]:
        out.add("least")
    if c.kind == "money":
        out |= _price_worth(kin, c)
    elif c.kind in _STEPS:
        if _reckoned(kin, k):
            out.add("reckoned")
        out.add(f"size={sum(c.value >= step for step in _STEPS[c.kind])}")
    return out


def _reckoned(kin: Kin, k: int) -> bool:
    """"It reads two too high, so sixty-four": the value is an earlier one more or less by a number said before it."""
    c = kin.told[k]
    said = [n.value for n in c.line.quantities.numbers if n.last <= c.first]
    said += [d.days for d in c.line.quantities.durations if d.last <= c.first and c.kind == "rest"]
    earlier = {round(100 * (c.value + sign * x)) for x in said if x >= 1 for sign in (-1, 1)}
    return any(kin.since.get(value, k) < k for value in earlier)


def _price_worth(kin: Kin, c: Candidate) -> set[str]:
    out = {"named" if c.codes else "bare"}
    if not c.codes and kin.plain and c.value > 0:
        like = _within(kin.plain, c.value / 2.5, c.value / 0.4)
        out.add("sum like others" if like else "unlike others")
    if c.value:
        for count in BOXES:
            box = c.value * count
            if _within(kin.sums, _SHARE[0] * box, _SHARE[1] * box):
                out.add("goes into another")
            if _within(kin.sums, _EXACT[0] * box, _EXACT[1] * box):
                out.add("goes into another exactly")
            if _within(kin.sums, c.value / (_SHARE[1] * count), c.value / (_SHARE[0] * count)):
                out.add("holds another")
            if _within(kin.sums, c.value / (_EXACT[1] * count), c.value / (_EXACT[0] * count)):
                out.add("holds another exactly")
    first, last = kin.of_line[c.line.index]
    if any(0 < abs(o.value - c.value) < 0.05 * c.value for o in kin.told[first:last]):
        out.add("another near")
    low = next((v for v in kin.sums if v), 0)
    out.add("big" if low and c.value >= 6 * low else "small")
    return out


def _within(values: Sequence[Any], low: float, high: float) -> bool:
    """Whether one of the values, which are in order, lies between the bounds."""
    at = bisect_left(values, low)
    return at < len(values) and bool(values[at] <= high)
