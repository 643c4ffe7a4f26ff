"""Humidity it was kept at, in percent: "67 percent in the humidor", "the 69 kind", "72, no, I brought it down, 69"."""

from __future__ import annotations

from dataclasses import replace

from voicedraft.read.facts.claims import HEAVY, Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.not_kept import not_kept
from voicedraft.read.numbers import Number

RANGE = (55.0, 80.0)
"""Percent at which cigars are kept, with room on both sides (common practice, no source)."""


def read_humidity(session: Session) -> list[Claim]:
    """Claims "storage_rh_pct"."""
    out: list[Claim] = []
    for line in session.lines:
        early = line.index < session.opening and line.has("humidity.about")
        kept = line.section in ("value", "aside") and line.has("humidity.keeping")
        if early or kept or line.section == "background":
            out += _line(session, line, out) or _exchanged(line, out)
    return out


def _exchanged(line: Line, told: list[Claim]) -> list[Claim]:
    """"The packs said sixty-nine. So I changed that for a sixty-five.": what was put in the place of the one before."""
    if not told or line.index - told[-1].line > 1 or told[-1].guessed:
        return []
    start = next((i for i, t in enumerate(line.tokens) if t.text in _EXCHANGED), len(line.tokens))
    if start == len(line.tokens) or not {t.text for t in line.tokens[line.clause(start)[0] : start]} <= _DOER:
        return []
    for number in line.quantities.numbers:
        thing = {t.text for t in line.tokens[start + 1 : number.first]}
        put = number.first > start and line.tokens[number.first - 1].text in _FOR and thing <= _THINGS
        if put and RANGE[0] <= number.value <= RANGE[1] and not number.ordinal and _free(line, number):
            first, last = line.span(number.first, number.last)
            return [Claim("storage_rh_pct", number.value, line.index, first, last, "put in the place of the one before",
                          weight=told[-1].weight + HEAVY)]
    return []


def _line(session: Session, line: Line, told: list[Claim]) -> list[Claim]:
    out: list[Claim] = []
    previous: Number | None = None
    for number in line.quantities.numbers:
        if not RANGE[0] <= number.value <= RANGE[1] or number.ordinal or not _free(line, number):
            continue
        if not_kept(line, number.first, number.last):
            continue
        overrides = previous is not None and _overrides(line, previous, number)
        weight = _weight(line, number, told, follows=overrides)
        if weight is None:
            continue
        if overrides:
            out = [_other(c) for c in out]
        elif out and not all(c.other for c in out):
            continue
        first, last = line.span(number.first, number.last)
        out.append(Claim("storage_rh_pct", number.value, line.index, first, last, "percent with words of keeping",
                         weight=weight, guessed=session.hedging(line)))
        previous = number
    return [replace(c, weight=max(x.weight for x in out)) for c in out]


def _other(claim: Claim) -> Claim:
    return replace(claim, other=True)


def _overrides(line: Line, previous: Number, number: Number) -> bool:
    """A later number stands after a correction, after "but", or as what the speaker makes of it."""
    between = {t.text for t in line.tokens[previous.last : number.first]}
    exchanged = bool(between & _EXCHANGED) and line.tokens[number.first - 1].text in _FOR
    return line.corrected(previous.last, number.first) or bool(between & _BY_NOW) or exchanged


_BY_NOW = frozenset({
    "but", "makes", "so", "this", "mine", "now", "since", "currently", "presently", "today", "brought",
})


_EXCHANGED = frozenset({"changed", "swapped", "switched", "traded", "replaced", "exchanged"})
_DOER = frozenset({
    "i", "we", "so", "and", "then", "'ve", "have", "had", "'d", "just", "later", "since", "i've", "we've", "i'd", "but",
})
_THINGS = frozenset({
    "it", "that", "them", "those", "out", "the", "pack", "packs", "my", "for", "with", "to", "a", "an", "new", "over",
    "in",
})
"""What is exchanged: the pack told of, and nothing else ("I swapped my car for a sixty-five Mustang")."""
_FOR = frozenset({"for", "with", "to", "a"})
"""Before what is put in the place of another: "I swapped that for a sixty-five"."""


def _free(line: Line, number: Number) -> bool:
    q = line.quantities
    spans = [(s.first, s.last) for s in q.sizes] + [(x.first, x.last) for x in q.lengths]
    spans += [(d.first, d.last) for d in q.durations] + [(m.first, m.last) for m in q.moneys if m.codes]
    return not any(first <= number.first < last for first, last in spans)


def in_percent(line: Line, number: Number) -> bool:
    """Whether "per cent" or its sign stands behind the number."""
    after = [t.text for t in line.tokens[number.last : number.last + 2]]
    return after[:1] in (["percent"], ["%"]) or after == ["per", "cent"]


def _weight(line: Line, number: Number, told: list[Claim], follows: bool = False) -> int | None:
    """None where it is no humidity of this cigar."""
    percent = in_percent(line, number)
    if not percent and not line.has("humidity.about"):
        return None
    if line.other[number.first] or line.denied(number.first, 2):
        return None
    first, last = line.clause(number.first)
    nearest = [n.first for n in line.quantities.numbers if n.first >= number.last]
    if line.has("humidity.elsewhere", max(first, number.first - 6), min([last, *nearest])):
        return None
    if not percent and not follows and _stands_alone(line, number):
        return None
    weight = (2 if percent else 0) + (line.section == "background")
    if any(not c.other and c.line < line.index for c in told):
        sure = line.has("denied", number.last, min(number.last + 3, len(line.tokens))) or line.has("correction")
        weight += 0 if sure else -2
    return weight


def _stands_alone(line: Line, number: Number) -> bool:
    """A bare number is a humidity only beside a word of keeping, or where a percent stands in the same sentence."""
    if any(in_percent(line, n) for n in line.quantities.numbers):
        return False
    near = line.has("humidity.about", max(0, number.first - 5), min(number.last + 3, len(line.tokens)))
    return not near
