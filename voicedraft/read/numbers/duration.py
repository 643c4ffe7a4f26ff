"""Spans of time in minutes: "an hour and forty minutes", "hour five", "ten weeks", "a fortnight", "two hours less ten".

A month counts 30 days and a year 365 (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.numbers.tokens import Token, texts

DAY = 1440.0
UNITS = {
    "second": 1 / 60, "minute": 1.0, "min": 1.0, "hour": 60.0, "hr": 60.0, "day": DAY, "week": 7 * DAY,
    "fortnight": 14 * DAY, "month": 30 * DAY, "year": 365 * DAY,
}
_ADJECTIVES = frozenset({"full", "whole", "solid", "good", "odd", "straight", "short", "long"})


@dataclass(frozen=True, slots=True)
class Duration:
    """`minutes` of tokens `[first, last)`; `unit` is the largest unit said."""

    minutes: float
    first: int
    last: int
    unit: str

    @property
    def days(self) -> float:
        return self.minutes / DAY


def unit_of(text: str) -> str | None:
    """The singular unit of a word of time, or None."""
    if text in UNITS:
        return text
    return text[:-1] if text.endswith("s") and text[:-1] in UNITS else None


def durations(tokens: Sequence[Token], numbers: Sequence[Number]) -> tuple[Duration, ...]:
    """Every span of time in order; times by the clock ("ten minutes to nine", "minute 43") are none."""
    by_first = {n.first: n for n in numbers}
    by_last = {n.last: n for n in numbers}
    out: list[Duration] = []
    for i, token in enumerate(tokens):
        unit = unit_of(token.text)
        if unit is None or (out and i < out[-1].last):
            continue
        simple = _simple(tokens, i, unit, by_last)
        if simple is None or _by_the_clock(tokens, simple):
            continue
        full = _less(tokens, _extend(tokens, simple, by_first), by_first)
        out = _append(tokens, out, full)
    return tuple(out)


def _simple(tokens: Sequence[Token], i: int, unit: str, by_last: dict[int, Number]) -> Duration | None:
    """A number and its unit, "an hour", "half an hour", "three quarters of an hour", or a bare "hour"."""
    j = i
    while j > 0 and tokens[j - 1].text in _ADJECTIVES and not tokens[j].breaks:
        j -= 1
    number = by_last.get(j)
    if number is not None and not tokens[j].breaks and not number.ordinal:
        return Duration(number.value * UNITS[unit], number.first, i + 1, unit)
    if texts(tokens, j - 1, j) in (("a",), ("an",), ("the",)) and not tokens[j].breaks:
        k = j - 1
        if texts(tokens, k - 1, k) == ("of",):
            k -= 1
        part = by_last.get(k) if not tokens[j - 1].breaks else None
        if part is not None and part.fraction and part.value < 1:
            return Duration(part.value * UNITS[unit], part.first, i + 1, unit)
        if tokens[j - 1].text != "the":
            return Duration(UNITS[unit], j - 1, i + 1, unit)
    if unit == "hour" and tokens[i].text == "hour" and (i == 0 or tokens[i].breaks or not _noun_before(tokens, i)):
        return Duration(60.0, i, i + 1, unit)
    return None


def _noun_before(tokens: Sequence[Token], i: int) -> bool:
    return tokens[i - 1].text not in ("so", "about", "roughly", "call", "it", "is", "was", "took", "'s", "full", "has")


def _by_the_clock(tokens: Sequence[Token], found: Duration) -> bool:
    after = texts(tokens, found.last, found.last + 1)
    return found.unit == "minute" and after in (("to",), ("past",)) and _hour_follows(tokens, found.last + 1)


def _hour_follows(tokens: Sequence[Token], i: int) -> bool:
    hours = {"one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "noon"}
    return i < len(tokens) and (tokens[i].text in hours or tokens[i].text.isdigit() or tokens[i].text == "midnight")


def _extend(tokens: Sequence[Token], found: Duration, by_first: dict[int, Number]) -> Duration:
    """Adds "and a half" in the same unit, "and 40 (minutes)" after hours, and takes off "less ten minutes"."""
    i = found.last
    joined = texts(tokens, i, i + 1)
    step = i + 1 if joined in (("and",), ("less",), ("plus",)) else i
    part = by_first.get(step)
    if part is None or part.ordinal or (step < len(tokens) and tokens[step].breaks) or (step > i and tokens[i].breaks):
        return found
    following = unit_of(tokens[part.last].text) if part.last < len(tokens) and not tokens[part.last].breaks else None
    if joined == ("less",) and following:
        return replace(found, minutes=found.minutes - part.value * UNITS[following], last=part.last + 1)
    if joined == ("less",):
        of_it = texts(tokens, part.last, part.last + 2) in (("of", "an"), ("of", "the"))
        last = part.last + 3 if of_it else part.last
        taken = part.value * UNITS[found.unit] if part.value < 1 else 0.0
        return replace(found, minutes=found.minutes - taken, last=last) if taken else found
    if part.fraction and part.value < 1 and step > i and following is None:
        return replace(found, minutes=found.minutes + part.value * UNITS[found.unit], last=part.last)
    if found.unit in ("hour", "hr") and part.value < 60 and not part.fraction:
        if following in ("minute", "min"):
            return replace(found, minutes=found.minutes + part.value, last=part.last + 1)
        if following is None:
            return replace(found, minutes=found.minutes + part.value, last=part.last)
    return found


def _less(tokens: Sequence[Token], found: Duration, by_first: dict[int, Number]) -> Duration:
    """Takes off "less five minutes" after "one hour and a half"."""
    part = by_first.get(found.last + 1) if texts(tokens, found.last, found.last + 1) == ("less",) else None
    unit = unit_of(tokens[part.last].text) if part is not None and part.last < len(tokens) else None
    if part is None or unit is None or part.ordinal or UNITS[unit] >= UNITS[found.unit]:
        return found
    if texts(tokens, part.last + 1, part.last + 2) == ("than",):
        return found
    return replace(found, minutes=found.minutes - part.value * UNITS[unit], last=part.last + 1)


def _append(tokens: Sequence[Token], out: list[Duration], full: Duration) -> list[Duration]:
    """Joins "2 weeks and 3 days" to one span; "an hour and ten, seventy minutes" says one span twice."""
    if out:
        before = out[-1]
        between = texts(tokens, before.last, full.first)
        apart = tokens[full.first].breaks and not (before.unit == "hour" and full.unit == "minute")
        if tokens[full.first].breaks and full.minutes >= UNITS[before.unit]:
            return [*out, full]
        if between in ((), ("and",)) and not apart and UNITS[full.unit] < UNITS[before.unit]:
            joined = replace(before, minutes=before.minutes + full.minutes, last=full.last)
            return [*out[:-1], joined]
    return [*out, full]
