"""Days of rest before smoking: "six weeks in the humidor", "makes 57 days", "three weeks, no, it's four"."""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.not_kept import not_rested
from voicedraft.read.numbers.duration import DAY, UNITS

_LONG = ("day", "week", "fortnight", "month", "year")
RANGE = (1.0, 3650.0)


@dataclass(frozen=True, slots=True)
class _Span:
    days: float
    first: int
    last: int


def read_rest(session: Session) -> list[Claim]:
    """Claims "rest_days". A month counts 30 days."""
    out: list[Claim] = []
    for line in session.lines:
        early = line.index < session.opening
        if early or line.section in ("background", "value", "aside", "prelight", "appearance"):
            before = session.lines[line.index - 1] if line.index else None
            claim = _line(session, line, bool(out), before, early)
            out += [claim] if claim else []
    return out


def _line(session: Session, line: Line, told: bool, before: Line | None, early: bool) -> Claim | None:
    asked = before is not None and before.section == "background" and before.has("rest.about")
    spans = [s for s in _spans(line) if _is_rest(line, s, asked, early)]
    if not spans:
        return None
    chosen = spans[0]
    for span in spans[1:]:
        rather = line.has("rest.rather", chosen.last, span.first)
        if rather or line.corrected(chosen.last, span.first) or span.first - chosen.last <= 2 or _concludes(line, span):
            chosen = span
    first, last = line.span(chosen.first, chosen.last)
    weight = int(line.section == "background") + int(line.has("rest.about"))
    if told and not (line.has("correction") or session.blind):
        weight -= 1
    return Claim("rest_days", round(chosen.days, 2), line.index, first, last, "days, weeks or months of rest",
                 weight=weight, guessed=session.hedging(line))


def _spans(line: Line) -> list[_Span]:
    """Spans of days and more, and bare numbers that correct one: "five weeks, no, six"."""
    out = [_Span(d.days, d.first, d.last) for d in line.quantities.durations if d.unit in _LONG]
    ends = {d.last: d for d in line.quantities.durations if d.unit in _LONG}
    for number in line.quantities.numbers:
        if number.ordinal or any(s.first <= number.first < s.last for s in out) or not 1 <= number.value <= 120:
            continue
        before = [d for d in ends.values() if d.last <= number.first]
        if before and any(before[-1].last <= n.first < number.first for n in line.quantities.numbers):
            continue
        after = line.tokens[number.last] if number.last < len(line.tokens) else None
        lone = after is None or after.breaks
        if not before or not lone:
            continue
        away = number.first - before[-1].last
        if line.tokens[number.first - 1].text == "at":
            continue
        start = before[-1].last
        put_right = line.corrected(start, number.first) or line.has("rest.rather", start, number.first)
        if away <= 3 or (away <= 12 and put_right):
            out.append(_Span(number.value * UNITS[before[-1].unit] / DAY, number.first, number.last))
    return sorted(out, key=lambda s: s.first)


def _is_rest(line: Line, span: _Span, asked: bool, early: bool) -> bool:
    if not RANGE[0] <= span.days <= RANGE[1] or line.other[span.first]:
        return False
    if not_rested(line, span.first, span.last):
        return False
    around = line.tokens[max(0, span.first - 2) : span.first]
    if around and around[-1].text in ("last", "next", "every", "per", "each") and span.last - span.first <= 2:
        return False
    near = min(span.last + 2, len(line.tokens))
    if line.has("rest.put_away") and [t.text for t in line.tokens[span.last : near]][:1] == ["ago"]:
        return line.section == "background"
    if line.has("rest.not_rest", span.last, near) or line.has("rest.not_rest", max(0, span.first - 2), span.first):
        return False
    if early and line.section != "background":
        return asked or line.has("rest.about")
    return (line.section == "background" or line.has("humidity.keeping")) and (
        asked or line.has("rest.about") or len(line.tokens) <= 14
    )


def _concludes(line: Line, span: _Span) -> bool:
    return any(t.text in ("so", "makes", "that", "call") for t in line.tokens[max(0, span.first - 3) : span.first])


