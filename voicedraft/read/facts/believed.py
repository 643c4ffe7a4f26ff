"""Rule: two ring gauges from two sources, one of them believed: "42 on the website, 43 on the box, and I believe the
box".
"""

from __future__ import annotations

from voicedraft.read.facts.claims import HEAVY, Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.numbers import Number
from voicedraft.read.numbers.size import is_ring

_SMALL = frozenset({"the", "my", "what", "that", "this", "says", "on", "in", "a"})
_REACH = 3
"""Tokens after "I believe" within which the source is named; our own choice, no outside source."""


def read_believed(session: Session) -> list[Claim]:
    """Claims "ring_gauge": the one that stands nearest to the source believed."""
    out: list[Claim] = []
    for line in session.lines:
        number = _believed(line) if line.section == "background" and line.has("size.ring") and not line.asks else None
        if number is not None:
            first, last = line.span(number.first, number.last)
            detail = "ring gauge of the source believed"
            out.append(Claim("ring_gauge", int(number.value), line.index, first, last, detail, HEAVY))
    return out


def _believed(line: Line) -> Number | None:
    hits = [h for h in line.find("size.believed") if not line.denied(h.last - 1)]
    if not hits:
        return None
    source = next((t.text for t in line.tokens[hits[-1].last : hits[-1].last + _REACH] if t.text not in _SMALL), "")
    rings = [n for n in line.quantities.numbers if n.last <= hits[-1].first and is_ring(n) and _may_be_ring(line, n)]
    told = [i for i, t in enumerate(line.tokens[: hits[-1].first]) if t.text == source]
    if len({n.value for n in rings}) < 2 or not told:
        return None
    start, end = line.clause(told[-1])
    own = [n for n in rings if start <= n.first < end] or rings
    return min(own, key=lambda n: (not _joined(line, n, told[-1]), abs(n.first - told[-1])))


def _may_be_ring(line: Line, number: Number) -> bool:
    """Of this cigar, and no price, time, length or other measure: "the box is 60 dollars"."""
    q = line.quantities
    spans = [(m.first, m.last) for m in q.moneys if m.codes] + [(d.first, d.last) for d in q.durations]
    spans += [(x.first, x.last) for x in q.lengths]
    taken = any(a <= number.first < b for a, b in spans)
    return not taken and not line.other[number.first] and not line.tokens[number.first].text.endswith("%")


def _joined(line: Line, number: Number, at: int) -> bool:
    """"48 on the card", "the card says 48": only small words stand between the number and its source."""
    first, last = (number.last, at) if number.last <= at else (at + 1, number.first)
    return {t.text for t in line.tokens[first:last]} <= _BETWEEN


_BETWEEN = _SMALL | {
    "by", "at", "says", "said", "according", "to", "from", "ring", "has", "it", "stands", "gauge", "as", "is",
}
