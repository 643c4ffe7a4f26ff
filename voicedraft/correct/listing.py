"""Prints the corrections of a draft folder."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from voicedraft.correct.journal import active
from voicedraft.correct.session import Session
from voicedraft.correct.telling import tell


def print_corrections(directory: Path, say: Callable[[str], object]) -> None:
    """One line each: id, when, who, what; those taken back are marked. Raises OutputError where there is no draft."""
    with Session(directory, write=False) as session:
        counting = {e.id for e in active(session.contents.events)}
        for event in session.contents.events:
            taken_back = "" if event.id in counting or event.what in ("undo", "redo") else " (taken back)"
            say(f"{event.id}  {event.when:%Y-%m-%d %H:%M}  {event.who}: {tell(event)}{taken_back}")
        for lost in session.unplaced:
            say(f"No place in this reading: {tell(lost.event)}: {lost.reason}")
        if not session.contents.events:
            say("No corrections yet.")
