"""Minutes that the smoke lasted: "an hour and 40 minutes", "ninety-five minutes total", "from half past two to ten to
four". A span counts after the smoke, or late in the session where the words say that it is the whole.
"""

from __future__ import annotations

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.numbers import Duration, Number
from voicedraft.read.numbers.clock import Clock, between, clocks

RANGE = (20.0, 300.0)
"""Minutes that a cigar can last, with room on both sides (common practice, no source)."""

_ELSEWHERE = ("burn", "aside", "palate", "final_third", "verdict")
_LATE = 0.45
"""Share of the session after which the smoke can be over (common practice of telling, no source)."""
_BARE = 6
"""Words beside a span that is a sentence of its own: "Sixty-two minutes", "exactly 48 minutes, by a good watch"."""


def read_smoking(session: Session) -> list[Claim]:
    """Claims "smoking_minutes", told of the whole smoke."""
    out: list[Claim] = []
    for line in session.lines:
        out += [Claim("smoking_minutes", float(n.value), line.index, *line.span(n.first, n.last),
                      "the whole less what it lay", weight=NET) for n in net(line)]
        claim = _line(line, line.index >= _LATE * len(session.lines))
        out += [claim] if claim else []
    return out or _by_the_clock(session)


NET = 10
"""Weight of a time that was reckoned aloud, above all others."""
_LEAST_OFF = 3


def net(line: Line) -> list[Number]:
    """"Eighty minutes, but fifteen I was on the phone, so sixty-five": what is left where the sum goes up."""
    if line.section in ("pairings", "prelight") or not line.has("smoking.unit"):
        return []
    numbers = [n for n in line.quantities.numbers if not n.ordinal and not n.fraction and n.value == int(n.value)]
    wholes = [(float(n.value), n.last) for n in numbers] + [(d.minutes, d.last) for d in line.quantities.durations]
    times = clocks(line.tokens, line.quantities.numbers)
    wholes += [(float(between(times[0], times[-1])), times[-1].last)] if len(times) >= 2 else []
    measured = {q.first for q in line.quantities.lengths} | {q.first for q in line.quantities.moneys}
    for n in reversed(numbers):
        for off in [] if n.first in measured else numbers:
            reckoned = off.last <= n.first and off.value >= _LEAST_OFF and RANGE[0] <= n.value <= RANGE[1]
            if reckoned and any(w == n.value + off.value and last <= off.first for w, last in wholes):
                return [n]
    return []


def _line(line: Line, late: bool) -> Claim | None:
    weight = _weight(line, late)
    if weight < 0:
        return None
    spans = [d for d in with_bare(line) if RANGE[0] <= d.minutes <= RANGE[1] and d.unit != "second"]
    spans = [d for d in spans if not line.other[d.first] and not _aside(line, d) and not moment(line, d)]
    if not spans:
        return None
    chosen = spans[0]
    for span in spans[1:]:
        if line.corrected(chosen.last, span.first) or _concludes(line, span) or _more_exact(line, chosen, span):
            chosen = span
    near = line.has("smoking.total", max(0, chosen.first - 6), min(chosen.last + 4, len(line.tokens)))
    bare = late and len(line.tokens) - (chosen.last - chosen.first) <= _BARE and line.stage not in _THIRDS
    told = line.has("smoking.whole")
    if weight < 4 and not (near and line.section in _ELSEWHERE) and not (late and (bare or told)):
        return None
    first, last = line.span(chosen.first, chosen.last)
    detail = "time from lighting to the end"
    return Claim("smoking_minutes", chosen.minutes, line.index, first, last, detail, weight=weight + near + 2 * told)


def with_bare(line: Line) -> list[Duration]:
    """Spans, and bare numbers that put one right: "ninety minutes, make that ninety-five"."""
    out = list(line.quantities.durations)
    for number in line.quantities.numbers:
        lone = number.last >= len(line.tokens) or line.tokens[number.last].breaks
        before = [d for d in out if d.last <= number.first <= d.last + _RIGHT]
        if number.ordinal or not lone or not before or any(d.first <= number.first < d.last for d in out):
            continue
        old = before[-1]
        if line.corrected(old.last, number.first):
            hours = old.minutes - old.minutes % 60 if old.unit == "hour" and number.value > _HOURS else 0.0
            scale = 1.0 if hours or old.unit != "hour" else 60.0
            out.append(Duration(hours + number.value * scale, number.first, number.last, old.unit))
    return sorted(out, key=lambda d: d.first)


_RIGHT = 5
"""Tokens after a span within which a bare number can put it right."""
_HOURS = 5
"""A bare number above this after hours is of minutes (common practice, no source)."""
_THIRDS = ("first", "second")


def _weight(line: Line, late: bool) -> int:
    """4 after the smoke, 0 elsewhere, below 0 where no span is of the smoke."""
    if line.section == "burn" and line.stage in ("after", None):
        return 4
    if line.section in ("pairings", "background", "prelight", "appearance") and not (
        late and line.has("smoking.whole")
    ):
        return -1
    return 0


def _more_exact(line: Line, a: Duration, b: Duration) -> bool:
    """"one hour plus, let me see, one hour ten"."""
    return a.unit == b.unit == "hour" and a.minutes % 60 == 0 and 0 < b.minutes - a.minutes < 60


def _aside(line: Line, span: Duration) -> bool:
    first, last = line.clause(span.first)
    return line.has("smoking.aside", first, last)


def moment(line: Line, span: Duration) -> bool:
    """"around the half hour", "at the hour and ten mark": a point in time, not how long it took."""
    before = [t.text for t in line.tokens[max(0, span.first - 2) : span.first]]
    after = line.tokens[span.last].text if span.last < len(line.tokens) and not line.tokens[span.last].breaks else ""
    return after in ("mark", "point") or (before[1:] == ["the"] and before[0] in _POINT)


_POINT = frozenset({
    "at", "around", "about", "by", "past", "near", "towards", "toward", "before", "after", "until", "till", "nearly",
})


def _concludes(line: Line, span: Duration) -> bool:
    before = [t.text for t in line.tokens[max(0, span.first - 4) : span.first]]
    return bool({"so", "makes", "that", "gives", "is", "call"} & set(before))


def _by_the_clock(session: Session) -> list[Claim]:
    """Lit at one time and laid down at another, where no span was told: in one sentence, or in two far apart."""
    start: Clock | None = None
    out: list[Claim] = []
    for line in session.lines:
        if line.section in ("pairings", "value", "prelight"):
            continue
        times = clocks(line.tokens, line.quantities.numbers)
        if not times:
            continue
        lit = line.has("smoking.lit")
        over = line.has("smoking.over")
        if len(times) >= 2 and (lit or over or line.section == "burn"):
            out += _span(line, times[0], times[-1])
        elif over and start is not None:
            out += _span(line, start, times[-1])
        if lit and not over:
            start = times[0]
    return out


def _span(line: Line, start: Clock, end: Clock) -> list[Claim]:
    minutes = between(start, end)
    if not RANGE[0] <= minutes <= RANGE[1]:
        return []
    first, last = line.span(min(start.first, end.first) if start.first < end.first else end.first, end.last)
    return [Claim("smoking_minutes", float(minutes), line.index, first, last, "from one time by the clock to another")]
