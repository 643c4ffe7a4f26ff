"""The journal, `corrections.jsonl`: one event a line, only ever added to, on the disk before it counts.

Undo and redo are events too. A line that a crash tore is left where it is and passed over; the next event starts on a
line of its own.
"""

from __future__ import annotations

import contextlib
import fcntl
import json
import os
import secrets
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, ValidationError

from voicedraft.correct.errors import CorrectionError
from voicedraft.errors import OutputError

JOURNAL, LOCK = "corrections.jsonl", ".corrections.lock"
UNDO, REDO = "undo", "redo"


class Event(BaseModel):
    """One correction. `base` is the number of events that its maker had seen; `reading` names the reading it was made
    on (the start of the SHA-256 of reading.json); `target` holds the anchor on the words and the value's key."""

    model_config = ConfigDict(frozen=True, extra="ignore")

    id: str
    who: str
    when: datetime
    what: str
    target: dict[str, Any] = {}
    old: dict[str, Any] = {}
    new: dict[str, Any] = {}
    base: int = 0
    reading: str = ""


def new_id(now: datetime) -> str:
    """An id that sorts by time and that no two writers share."""
    return f"{now:%Y%m%dT%H%M%S%f}-{secrets.token_hex(3)}"


def now() -> datetime:
    """The present, with its time zone (ISO 8601 when written)."""
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Contents:
    """A journal as read: its events in order, and the numbers of lines, from 1, that could not be read."""

    events: tuple[Event, ...]
    damaged: tuple[int, ...] = ()

    @property
    def revision(self) -> int:
        """Number of events."""
        return len(self.events)


class Journal:
    """The journal of one draft folder."""

    def __init__(self, directory: Path) -> None:
        self.path = directory / JOURNAL
        self._lock_path = directory / LOCK

    def read(self) -> Contents:
        """Every event so far. Raises OutputError where the file is there and cannot be read."""
        try:
            raw = self.path.read_bytes()
        except FileNotFoundError:
            return Contents(())
        except OSError as error:
            raise OutputError(f"{self.path} cannot be read ({error.strerror}). Check its permissions.") from error
        events: list[Event] = []
        damaged: list[int] = []
        for number, line in enumerate(raw.split(b"\n"), 1):
            if not line.strip():
                continue
            try:
                events.append(Event.model_validate_json(line))
            except ValidationError:
                damaged.append(number)
        return Contents(tuple(events), tuple(damaged))

    @contextlib.contextmanager
    def locked(self) -> Iterator[None]:
        """Holds the folder's lock against other processes and threads while the block runs."""
        try:
            handle = os.open(self._lock_path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        except OSError as error:
            raise OutputError(
                f"{self._lock_path.parent} cannot be written ({error.strerror}). Corrections are kept beside the "
                "draft: make the folder writable."
            ) from error
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            yield
        finally:
            os.close(handle)

    def append(self, event: Event) -> None:
        """Adds one event and returns when it is on the disk. The caller holds the lock. Raises OutputError."""
        line = json.dumps(event.model_dump(mode="json"), ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
        try:
            handle = os.open(self.path, os.O_RDWR | os.O_APPEND | os.O_CREAT | os.O_CLOEXEC, 0o644)
            try:
                size = os.fstat(handle).st_size
                if size and os.pread(handle, 1, size - 1) != b"\n":
                    line = b"\n" + line
                _write_all(handle, line, size)
                os.fsync(handle)
            finally:
                os.close(handle)
        except OSError as error:
            raise OutputError(
                f"The correction could not be saved in {self.path} ({error.strerror}). Free some space, then make it "
                "again."
            ) from error


def _write_all(handle: int, line: bytes, size: int) -> None:
    """Writes the whole line, or takes back what was written of it."""
    try:
        while line:
            line = line[os.write(handle, line) :]
    except OSError:
        os.ftruncate(handle, size)
        raise


def active(events: Sequence[Event]) -> list[Event]:
    """The corrections that count now, in the order they were made: all but those undone and not redone."""
    undone: set[str] = set()
    for event in events:
        target = str(event.target.get("event", ""))
        if event.what == UNDO:
            undone.add(target)
        elif event.what == REDO:
            undone.discard(target)
    return [e for e in events if e.what not in (UNDO, REDO) and e.id not in undone]


def next_undo(events: Sequence[Event]) -> Event | None:
    """The correction that an undo takes back: the latest one that counts."""
    counting = active(events)
    return counting[-1] if counting else None


def next_redo(events: Sequence[Event]) -> Event | None:
    """The correction that a redo brings back: the last one undone since anything new was corrected."""
    by_id = {e.id: e for e in events}
    stack: list[str] = []
    for event in events:
        target = str(event.target.get("event", ""))
        if event.what == UNDO:
            stack.append(target)
        elif event.what == REDO:
            stack = [t for t in stack if t != target]
        else:
            stack.clear()
    return by_id.get(stack[-1]) if stack else None


def event_of(contents: Contents, event_id: str) -> Event:
    """The event of that id. Raises CorrectionError where there is none."""
    for event in contents.events:
        if event.id == event_id:
            return event
    raise CorrectionError(f"There is no correction {event_id}. List them with: voicedraft correct DIR --list.")
