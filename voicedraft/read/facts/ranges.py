"""Amounts within a range that the speaker states: "380, 390, 400, so between 380 and 400" prices nothing at 390."""

from __future__ import annotations

from voicedraft.read.facts.context import Line
from voicedraft.read.numbers import Money, Number

_OPEN = frozenset({"between", "from"})
_CLOSE = frozenset({"and", "to"})


def within_range(line: Line, money: Money) -> bool:
    """Whether the sentence says "between A and B", and the amount lies between the two without being either."""
    moneys = line.quantities.moneys
    start, end = line.clause(money.first)
    if line.has("this_cigar", start, end) or sum(m.amount == money.amount for m in moneys) > 1:
        return False
    for a in moneys:
        if not a.first or line.tokens[a.first - 1].text not in _OPEN:
            continue
        for b in moneys:
            joined = b.first == a.last + 1 and line.tokens[a.last].text in _CLOSE
            if joined and a.amount < money.amount < b.amount:
                return True
    return False


def numbers_one(line: Line, number: Number) -> bool:
    """"so this is number two": the number names one of several and measures nothing."""
    return number.first > 0 and line.tokens[number.first - 1].text == "number"
