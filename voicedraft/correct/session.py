"""One draft folder being corrected. The page and the terminal are two faces over this.

A correction is on the disk, in the journal, before `change` returns. The readable draft is written again right after,
in a thread of its own; `flush` waits for it.
"""

from __future__ import annotations

import contextlib
import fcntl
import hashlib
import os
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any
from urllib.parse import quote

from voicedraft.correct.apply import RULES, Unplaced
from voicedraft.correct.errors import CorrectionError, StaleError
from voicedraft.correct.journal import (
    REDO,
    UNDO,
    Contents,
    Event,
    Journal,
    active,
    event_of,
    new_id,
    next_redo,
    next_undo,
    now,
)
from voicedraft.correct.recordings import recordings
from voicedraft.correct.replay import Lost, Replayed, apply_event, compile_review, replay
from voicedraft.correct.reread import Reader, changes
from voicedraft.correct.state import State
from voicedraft.correct.telling import tell
from voicedraft.draft.document import Review
from voicedraft.draft.write import READING, REVIEW, read_review, to_json, write_draft, write_text
from voicedraft.errors import OutputError

WORDS = frozenset({"words.fix", "words.revert"})
"""Corrections after which the values are read again."""
RENDER_LOCK = ".draft.lock"
REST_S = 0.2
"""The draft is written when no correction has come for this long."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one correction did: the draft before and after it."""

    event: Event
    revision: int
    before: Review
    after: Review


def reading_id(raw: bytes) -> str:
    """The name of a reading: the start of the SHA-256 of its file."""
    return hashlib.sha256(raw).hexdigest()[:16]


def sounds_of(directory: Path) -> dict[int, str]:
    """Take number → link to its recording as seen from the draft folder, for recordings that are there."""
    here = directory.resolve()
    return {number: quote(os.path.relpath(path, here)) for number, (path, _) in recordings(directory).items()}


class Session:
    """Opens a draft folder, replays its journal, and takes corrections. Safe to use from several threads.

    Raises OutputError where the folder holds no draft.
    """

    def __init__(self, directory: Path, who: str = "reviewer", write: bool = True) -> None:
        self.directory = directory
        self.who = who
        self.journal = Journal(directory)
        self._guard = threading.RLock()
        self._stamp: tuple[tuple[int, int], ...] = ((-1, -1), (-1, -1))
        self._contents = Contents(())
        self._reader = Reader()
        self._warmer: threading.Thread | None = None
        self._ensure_reading()
        self._load()
        self._writer = _Writer(self._render) if write else None
        if write and self._outdated():
            self._render()

    def __enter__(self) -> Session:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    # What there is

    @property
    def review(self) -> Review:
        """The draft as corrected so far."""
        return self._now.review

    @property
    def unplaced(self) -> tuple[Lost, ...]:
        """Corrections that found no place in this reading."""
        return self._now.unplaced

    @property
    def contents(self) -> Contents:
        """The journal as last read."""
        return self._contents

    @property
    def revision(self) -> int:
        """Number of events that the draft shows."""
        return self._contents.revision

    @property
    def state(self) -> State:
        """The draft's words and values; not to be changed."""
        return self._now.state

    @property
    def reading(self) -> Review:
        """The machine's reading, before any correction."""
        return self._reading

    @property
    def reading_id(self) -> str:
        """The name of that reading, as events carry it."""
        return self._reading_id

    def can_undo(self) -> str | None:
        """What an undo would take back, or None."""
        event = next_undo(self._contents.events)
        return tell(event) if event else None

    def can_redo(self) -> str | None:
        """What a redo would bring back, or None."""
        event = next_redo(self._contents.events)
        return tell(event) if event else None

    # Corrections

    def change(self, wish: Any, base: int) -> Outcome:
        """Makes one correction (a model of `voicedraft.correct.changes`).

        base: the revision that its maker saw. Raises StaleError where it is no longer the last one, CorrectionError
        where the correction cannot be made, OutputError where it cannot be saved; nothing is changed then.
        """
        with self._at(base):
            rule = RULES[wish.what]
            prepared = rule.prepare(self.state, wish)
            event = self._event(wish.what, base, target=prepared.target, old=prepared.old, new=prepared.new)
            state = self._made(event)
            if wish.what in WORDS:
                event = event.model_copy(update={"new": {**event.new, **self._read_anew(event, state)}})
                state = self._made(event)
            after = Replayed(state, compile_review(state), self.unplaced)
            return self._commit(event, after)

    def _made(self, event: Event) -> State:
        state = self.state.clone()
        try:
            apply_event(state, event, self._reading_id)
        except Unplaced as error:
            raise CorrectionError(f"The correction cannot be made: {error}.") from error
        return state

    def _read_anew(self, event: Event, state: State) -> dict[str, Any]:
        """What the readers make of rewritten words. The words are kept even where the readers fail, and marked."""
        where = event.target["at"]
        try:
            return {"read": changes(self._reader, self.state, state, where["first"], where["last"])}
        except Exception as error:
            return {"unread": str(error) or type(error).__name__}

    def warm(self) -> None:
        """Reads the values once, in a thread of its own, so that the first rewritten words need not wait for the
        language models. `close` waits for it: a library that is torn down while it loads ends the program badly."""
        if self._warmer is None:
            self._warmer = threading.Thread(target=self._read_once, name="reader")
            self._warmer.start()

    def _read_once(self) -> None:
        with contextlib.suppress(Exception):
            self._reader.read(self.state)

    def undo(self, base: int, event_id: str | None = None) -> Outcome:
        """Takes back the latest correction that counts, or the one of that id. Raises as `change` does."""
        with self._at(base):
            counting = active(self._contents.events)
            event = next_undo(counting) if event_id is None else event_of(self._contents, event_id)
            if event is None or event not in counting:
                raise CorrectionError("There is no correction to take back.")
            return self._step(UNDO, event, base)

    def redo(self, base: int) -> Outcome:
        """Brings back the correction undone last. Raises as `change` does."""
        with self._at(base):
            event = next_redo(self._contents.events)
            if event is None:
                raise CorrectionError("There is no undone correction to bring back.")
            return self._step(REDO, event, base)

    def _step(self, what: str, event: Event, base: int) -> Outcome:
        target = {"event": event.id, "passage": event.target.get("passage")}
        made = self._event(what, base, target=target, new={"text": tell(event)})
        return self._commit(made, self._replay((*self._contents.events, made)))

    def _event(self, what: str, base: int, **parts: dict[str, Any]) -> Event:
        moment = now()
        return Event(id=new_id(moment), who=self.who, when=moment, what=what, base=base, reading=self._reading_id,
                     **parts)

    def _commit(self, event: Event, after: Replayed) -> Outcome:
        before = self.review
        self.journal.append(event)
        self._now = after
        self._contents = Contents((*self._contents.events, event), self._contents.damaged)
        self._stamp = self._stamps()
        if self._writer:
            self._writer.wake()
        return Outcome(event, self.revision, before, after.review)

    # Keeping up with other processes

    def refresh(self) -> bool:
        """Takes in what other processes corrected meanwhile. True where anything changed."""
        with self._guard:
            if self._stamps() == self._stamp:
                return False
            self._load()
            return True

    @contextlib.contextmanager
    def _at(self, base: int) -> Iterator[None]:
        with self._guard, self.journal.locked():
            self.refresh()
            if base != self.revision:
                raise StaleError(self.revision, [tell(e) for e in self._contents.events[max(base, 0) :]])
            yield

    def _stamps(self) -> tuple[tuple[int, int], ...]:
        out = []
        for path in (self.directory / READING, self.journal.path):
            try:
                stat = path.stat()
                out.append((stat.st_mtime_ns, stat.st_size))
            except OSError:
                out.append((0, 0))
        return tuple(out)

    def _ensure_reading(self) -> None:
        reading = self.directory / READING
        if reading.exists():
            return
        if self.journal.path.exists():
            raise OutputError(f"{reading} is missing, and corrections were made on it. Make the draft again: "
                              "voicedraft draft INPUT --output DIR.")
        write_text(reading, to_json(read_review(self.directory / REVIEW)))

    def _load(self) -> None:
        stamp = self._stamps()
        if stamp[0] != self._stamp[0]:
            path = self.directory / READING
            self._reading = read_review(path)
            self._reading_id = reading_id(path.read_bytes())
        self._stamp = stamp
        self._contents = self.journal.read()
        self._now = self._replay(self._contents.events)

    def _replay(self, events: tuple[Event, ...]) -> Replayed:
        return replay(self._reading, active(events), self._reading_id)

    # The readable draft

    def flush(self) -> None:
        """Returns when the readable draft on the disk shows every correction. Raises OutputError where that failed."""
        if self._writer:
            self._writer.wait()

    def close(self) -> None:
        """Writes what is still to be written."""
        if self._warmer:
            self._warmer.join()
        if self._writer:
            self._writer.close()

    def _outdated(self) -> bool:
        try:
            return (self.directory / REVIEW).read_text(encoding="utf-8") != to_json(self.review)
        except (OSError, ValueError):
            return True

    def _render(self) -> None:
        handle = os.open(self.directory / RENDER_LOCK, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX)
            self.refresh()
            write_draft(self.review, self.directory, sounds_of(self.directory))
        finally:
            os.close(handle)


class _Writer:
    """Runs `render` in a thread after each burst of wakes."""

    def __init__(self, render: Callable[[], None]) -> None:
        self._render = render
        self._condition = threading.Condition()
        self._wanted = self._done = 0
        self._closing = False
        self._error: Exception | None = None
        self._thread = threading.Thread(target=self._run, name="draft-writer", daemon=True)
        self._thread.start()

    def wake(self) -> None:
        with self._condition:
            self._wanted += 1
            self._condition.notify_all()

    def wait(self) -> None:
        with self._condition:
            self._condition.wait_for(lambda: self._done == self._wanted)
            error, self._error = self._error, None
        if error:
            raise error

    def close(self) -> None:
        with self._condition:
            self._closing = True
            self._condition.notify_all()
        self._thread.join()
        if self._error:
            raise self._error

    def _run(self) -> None:
        while True:
            with self._condition:
                self._condition.wait_for(lambda: self._wanted != self._done or self._closing)
                if self._wanted == self._done:
                    return
                seen = self._wanted
                while not self._closing and self._condition.wait(REST_S) and seen != self._wanted:
                    seen = self._wanted
                seen = self._wanted
            try:
                self._render()
            except Exception as error:
                self._error = error
            with self._condition:
                self._done = seen
                self._condition.notify_all()


def reapply(directory: Path, reading: Review, sounds: Mapping[int, str] | None = None) -> Replayed:
    """Lays the corrections of a draft folder over a new reading: writes reading.json, then the corrected draft.

    Called by `voicedraft draft` where the folder was corrected before. Raises OutputError.
    """
    text = to_json(reading)
    journal = Journal(directory)
    directory.mkdir(parents=True, exist_ok=True)
    with journal.locked():
        write_text(directory / READING, text)
        done = replay(reading, active(journal.read().events), reading_id(text.encode()))
    write_draft(done.review, directory, sounds if sounds is not None else sounds_of(directory))
    return done
