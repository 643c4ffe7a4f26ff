"""Length and ring gauge: "six by fifty-two", "165 millimetres in length, ring gauge 43", "by 54, no, 52"."""

from __future__ import annotations

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.numbers import Number
from voicedraft.read.numbers.length import UNITS, bare_length
from voicedraft.read.numbers.size import is_ring

_IS = frozenset({"a", "an", "is", "'s", "really", "be", "got", "get", "says", "reads", "at"})
LENGTH_RANGE_MM = (75.0, 260.0)


def read_size(session: Session) -> list[Claim]:
    """Claims "length_mm" and "ring_gauge"; sizes of other cigars of the line are marked `other`."""
    out: list[Claim] = []
    for line in session.lines:
        if line.section in ("background", "value", "aside", "appearance"):
            out += _sizes(line)
            out += _lengths(line)
            out += _rings(line, bool(out) and out[-1].line >= line.index - 2)
    return out


def _weight(line: Line) -> int:
    return 2 if line.section == "background" else 0


def _sizes(line: Line) -> list[Claim]:
    out = []
    for size in line.quantities.sizes:
        first, last = line.span(size.first, size.last)
        other = line.other[size.first] or line.has("size.imagined", max(0, size.first - 3), size.first)
        if size.mm is not None and LENGTH_RANGE_MM[0] <= size.mm <= LENGTH_RANGE_MM[1]:
            out.append(Claim("length_mm", round(size.mm, 2), line.index, first, last, "length by ring",
                             weight=_weight(line) + 1, other=other))
        if size.ring is not None:
            out.append(Claim("ring_gauge", size.ring, line.index, first, last, "length by ring",
                             weight=_weight(line) + (size.mm is not None or line.section == "background"), other=other))
    return out


def _lengths(line: Line) -> list[Claim]:
    """A length with its unit in the background, or a bare one before "long"."""
    taken = [s for s in line.quantities.sizes if s.mm is not None]
    out = []
    for length in line.quantities.lengths:
        within = any(s.first <= length.first < s.last for s in taken)
        if within or line.section != "background" or not LENGTH_RANGE_MM[0] <= length.mm <= LENGTH_RANGE_MM[1]:
            continue
        first, last = line.span(length.first, length.last)
        imagined = line.has("size.imagined", max(0, length.first - 4), min(length.last + 4, len(line.tokens)))
        out.append(Claim("length_mm", round(length.mm, 2), line.index, first, last, "length with its unit",
                         weight=3 - 2 * imagined, other=line.other[length.first]))
    out += _bare_long(line)
    return out


def _bare_long(line: Line) -> list[Claim]:
    """"five and three eighths long", "a whisker short, six and seven-eighths"."""
    if line.section != "background" or (any(s.mm for s in line.quantities.sizes) and not line.has("size.ruler")):
        return []
    out = []
    known = {x.first for x in line.quantities.lengths}
    for number in line.quantities.numbers:
        mm = _inherited(line, number) or bare_length(number.value)
        if mm is None or number.first in known or number.ordinal:
            continue
        if any(s.first <= number.first < s.last for s in line.quantities.sizes):
            continue
        after = line.has("size.length", number.last, min(number.last + 1, len(line.tokens)))
        if after or _inherited(line, number) or (number.fraction and line.has("size.length", 0, number.first)):
            first, last = line.span(number.first, number.last)
            out.append(Claim("length_mm", round(mm, 2), line.index, first, last, "bare length", weight=3,
                             other=line.other[number.first]))
    return out


def _inherited(line: Line, number: Number) -> float | None:
    """"ten centimetres by eye, but the tape says eleven and a half": the unit said before holds."""
    before = [x for x in line.quantities.lengths if x.last <= number.first]
    if not before or number.first - before[-1].last > 14:
        return None
    lone = number.last >= len(line.tokens) or line.tokens[number.last].breaks
    right = lone and line.corrected(before[-1].last, number.first)
    if not right and not line.has("size.ruler", before[-1].last, number.first):
        return None
    mm = number.value * UNITS[before[-1].unit]
    return mm if LENGTH_RANGE_MM[0] <= mm <= LENGTH_RANGE_MM[1] else None


def _rings(line: Line, sized: bool) -> list[Claim]:
    """Numbers told as the ring: "ring gauge 46", "a 52 ring", "makes it a fifty-two"; in a line that speaks of rings,
    what follows a correction too."""
    if line.section != "background":
        return []
    speaks = line.has("size.ring") or any(s.ring for s in line.quantities.sizes)
    out: list[Claim] = []
    taken = {s.last for s in line.quantities.sizes}
    for number in line.quantities.numbers:
        if number.last in taken or not is_ring(number) or _measured(line, number):
            continue
        weight = _ring_weight(line, number, speaks, sized)
        if weight is not None:
            first, last = line.span(number.first, number.last)
            out.append(Claim("ring_gauge", int(number.value), line.index, first, last, "ring gauge", weight=weight,
                             other=line.other[number.first]))
    return out


def _measured(line: Line, number: Number) -> bool:
    """The number counts millimetres, money, percent or time."""
    q = line.quantities
    if any(x.first <= number.first < x.last for x in q.lengths):
        return True
    if any(d.first <= number.first < d.last for d in q.durations):
        return True
    if any(m.codes and m.first <= number.first < m.last for m in q.moneys):
        return True
    after = line.tokens[number.last].text if number.last < len(line.tokens) else ""
    return after in ("percent", "per", "%", "degrees", "grams", "gram")


def _ring_weight(line: Line, number: Number, speaks: bool, sized: bool) -> int | None:
    if line.denied(number.first, 3) or line.has("size.imagined", max(0, number.first - 3), number.first):
        return None
    if line.has("size.ring", max(0, number.first - 4), number.first) or line.has(
        "size.ring", number.last, min(number.last + 3, len(line.tokens))
    ):
        return 3
    before = line.tokens[max(0, number.first - 14) : number.first]
    earlier = [n.last for n in line.quantities.numbers if n.last <= number.first and is_ring(n)]
    if speaks and line.corrected(min([*earlier, max(0, number.first - 12)]), number.first):
        return 3
    if speaks and line.has("denied", number.last, min(number.last + 2, len(line.tokens))):
        return 3
    if line.has("size.measured") and sized and number.first and line.tokens[number.first - 1].text in _IS:
        return 3
    makes = any(t.text in ("makes", "make", "enter", "stays") for t in before[-4:])
    if makes and (speaks or sized):
        return 3
    return None
