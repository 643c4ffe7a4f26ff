"""When a recording began: from the user, from its tags, or from its name. A file's own date is never trusted.

Tags are what recorders write: `creation_time` (ISO base media, Matroska, FFmpeg) and `date` (Vorbis comments, Opus).
A tag that holds a day without a time of day tells nothing of the gap between takes and is not used.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from voicedraft.errors import InputError

_TAGS = ("creation_time", "date", "com.apple.quicktime.creationdate", "tdrc", "tdor")
_STAMP = re.compile(
    r"(?<!\d)(?P<y>(?:19|20)\d\d)[-_.]?(?P<m>0[1-9]|1[0-2])[-_.]?(?P<d>[0-2]\d|3[01])[T _.-]{1,3}(?:at )?"
    r"(?P<H>[01]\d|2[0-3])[-_.:h]?(?P<M>[0-5]\d)(?:[-_.:m]?(?P<S>[0-5]\d))?(?!\d)"
)
_CLOCK = re.compile(r"(?P<H>[01]?\d|2[0-3]):(?P<M>[0-5]\d)(?::(?P<S>[0-5]\d))?")
_AFTER = re.compile(r"\+(?:(?P<h>\d+):(?=\d+:))?(?P<m>\d+)(?::(?P<s>[0-5]\d))?")
_HOW = 'Give "20:01", "20:01:30", a date with time such as "2026-03-14T20:01:30", or "+12:30" after the first take.'


def from_tags(tags: Mapping[str, str]) -> datetime | None:
    """The clock time in a file's tags, or None where no tag holds a date with a time of day."""
    lower = {key.lower(): value for key, value in tags.items()}
    for key in _TAGS:
        value = lower.get(key, "").strip()
        if len(value) < len("2026-03-14T20:01"):
            continue
        try:
            return datetime.fromisoformat(value.replace(" UTC", "Z"))
        except ValueError:
            continue
    return None


def from_name(name: str) -> datetime | None:
    """The clock time in a file's name, such as 2026-03-14T20-01-10 or 20260314_200110, or None."""
    found = _STAMP.search(name)
    if found is None:
        return None
    y, m, d, hour, minute, second = (int(found[k] or 0) for k in ("y", "m", "d", "H", "M", "S"))
    try:
        return datetime(y, m, d, hour, minute, second)
    except ValueError:
        return None


def natural_key(name: str) -> tuple[tuple[int, int, str], ...]:
    """Sort key in which running numbers count as numbers: take 2 before take 10."""
    parts = re.split(r"(\d+)", name.casefold())
    return tuple((1, int(p), "") if p.isdigit() else (0, 0, p) for p in parts if p)


def comparable(clocks: Sequence[datetime]) -> list[datetime]:
    """The same moments, all with a time zone where any has one: a clock without one is taken as this machine's own."""
    if any(c.tzinfo for c in clocks):
        return [c if c.tzinfo else c.astimezone() for c in clocks]
    return list(clocks)


NIGHT = timedelta(hours=12)
"""A time of day earlier than the one before it is of the next day only where the night between is no longer."""


def has_date(start: str) -> bool:
    """Whether a `--start` tells the day, not only a time of day or a distance."""
    return not _AFTER.fullmatch(start.strip()) and not _CLOCK.fullmatch(start.strip())


def from_user(starts: Sequence[str], base: datetime | None) -> list[datetime]:
    """The clock of each `--start`, in order. base: the day to lay a bare time of day on (any day serves).

    A time of day a little earlier than the one before it is past midnight. Raises InputError naming the value that is
    not understood, or that is out of order.
    """
    dated = next((_one_start(t.strip(), datetime(2000, 1, 1), []) for t in starts if has_date(t)), None)
    day = (base or dated or datetime(2000, 1, 1)).replace(hour=0, minute=0, second=0, microsecond=0)
    out: list[datetime] = []
    for text in starts:
        moment = _one_start(text.strip(), day, out)
        if out and (now := comparable([out[-1], moment])) and now[1] < now[0]:
            raise InputError(f"The start {text!r} is before the one given before it. Give the takes, and a --start for "
                             "each, in the order in which they were spoken.")
        out.append(moment)
    return out


def _one_start(text: str, day: datetime, before: list[datetime]) -> datetime:
    if after := _AFTER.fullmatch(text):
        gap = timedelta(hours=int(after["h"] or 0), minutes=int(after["m"]), seconds=int(after["s"] or 0))
        return (before[0] if before else day) + gap
    if clock := _CLOCK.fullmatch(text):
        moment = day.replace(hour=int(clock["H"]), minute=int(clock["M"]), second=int(clock["S"] or 0))
        if before:
            last = before[-1]
            moment = moment.replace(year=last.year, month=last.month, day=last.day, tzinfo=last.tzinfo)
            if moment < last and moment + timedelta(days=1) - last <= NIGHT:
                moment += timedelta(days=1)
        return moment
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise InputError(f"The start {text!r} is not understood. {_HOW}") from None
