"""Times by the clock: "17:10", "half past two", "ten to four", "a quarter of eight", "at nine".

A time is minutes on a dial of twelve hours, since speakers seldom say which half of the day is meant.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.numbers.tokens import Token, texts

DIAL = 720
"""Minutes on the dial: 12 hours."""
_DIGITS = re.compile(r"(\d{1,2}):(\d{2})(?::\d{2})?")
_AFTER = frozenset({"past", "after", "gone"})
_BEFORE = frozenset({"to", "of", "before", "till"})
_AT = frozenset({"at", "from", "till", "until", "to", "by", "since", "around", "about"})

_ENDS = frozenset({"until", "till", "and", "to", "on", "sharp", "exactly", "this"})


@dataclass(frozen=True, slots=True)
class Clock:
    """`minute` of the dial, 0 to 719, at tokens `[first, last)`."""

    minute: int
    first: int
    last: int


def clocks(tokens: Sequence[Token], numbers: Sequence[Number]) -> tuple[Clock, ...]:
    """Every time by the clock, in order."""
    by_first = {n.first: n for n in numbers}
    by_last = {n.last: n for n in numbers}
    out: list[Clock] = []
    for i, token in enumerate(tokens):
        if out and i < out[-1].last:
            continue
        found = _printed(token, i) or _relative(tokens, i, by_first, by_last) or _plain(tokens, i, by_first)
        if found is not None:
            out.append(found)
    return tuple(out)


def between(start: Clock, end: Clock) -> int:
    """Minutes from one time to the next that the dial shows so."""
    return (end.minute - start.minute) % DIAL


def _printed(token: Token, i: int) -> Clock | None:
    match = _DIGITS.fullmatch(token.text)
    if match is None or int(match[2]) > 59:
        return None
    return Clock((int(match[1]) * 60 + int(match[2])) % DIAL, i, i + 1)


def _hour(number: Number | None) -> int | None:
    if number is None or number.ordinal or number.fraction or number.value not in range(1, 13):
        return None
    return int(number.value)


def _relative(
    tokens: Sequence[Token], i: int, by_first: dict[int, Number], by_last: dict[int, Number]
) -> Clock | None:
    """"ten past four" and "half past two", told from the word between."""
    if i == 0 or tokens[i].text not in _AFTER | _BEFORE or tokens[i].breaks:
        return None
    hour = _hour(by_first.get(i + 1))
    if hour is None or tokens[i + 1].breaks:
        return None
    j = i - 1 if tokens[i - 1].text in ("minutes", "minute") else i
    part = by_last.get(j)
    if part is None or part.ordinal:
        return None
    minutes = part.value * 60 if part.fraction and part.value < 1 else part.value
    if minutes != int(minutes) or not 1 <= minutes <= 30 or (minutes == 30 and tokens[i].text in _BEFORE):
        return None
    signed = int(minutes) if tokens[i].text in _AFTER else -int(minutes)
    return Clock((hour * 60 + signed) % DIAL, part.first, by_first[i + 1].last)


def _plain(tokens: Sequence[Token], i: int, by_first: dict[int, Number]) -> Clock | None:
    """"at nine", "till half six", "from seven forty-five", "nine o'clock"."""
    led = i > 0 and tokens[i - 1].text in _AT and not tokens[i].breaks
    if led and tokens[i].text == "half" and i + 1 < len(tokens) and _hour(by_first.get(i + 1)) is not None:
        return Clock((int(by_first[i + 1].value) * 60 + 30) % DIAL, i, by_first[i + 1].last)
    number = by_first.get(i)
    hour = _hour(number)
    if number is None or hour is None:
        return None
    following = by_first.get(number.last)
    if texts(tokens, number.last, number.last + 1) == ("o'clock",):
        return Clock(hour * 60 % DIAL, i, number.last + 1)
    if not led:
        return None
    if following is not None and following.value in range(10, 60) and not tokens[number.last].breaks:
        return Clock((hour * 60 + int(following.value)) % DIAL, i, following.last)
    follower = tokens[number.last] if number.last < len(tokens) else None
    ends = follower is None or follower.breaks or follower.text in _ENDS
    return Clock(hour * 60 % DIAL, i, number.last) if ends else None
