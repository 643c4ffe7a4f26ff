"""Which files were meant, in which order, and when each began."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from voicedraft.errors import InputError
from voicedraft.hear import clock
from voicedraft.hear.timed_text import is_timed_text
from voicedraft.models import file_digest

AUDIO_SUFFIXES = frozenset(
    "." + kind for kind in (
        "3gp", "aac", "ac3", "aif", "aiff", "alac", "amr", "au", "caf", "flac", "m4a", "m4b", "mka", "mkv", "mov",
        "mp2", "mp3", "mp4", "oga", "ogg", "opus", "wav", "wave", "webm", "wma", "wv",
    )
)
"""Names by which a folder's recordings are told from its other files; a file named outright may be called anything."""


@dataclass(frozen=True, slots=True)
class Recording:
    """One take before it is heard. `seconds` is its length as its container tells it, 0 where it does not.

    `dated` is False where the user gave a time of day and no file tells the day: the clock's day is then any day.
    """

    path: Path
    seconds: float
    clock: datetime | None
    digest: str
    dated: bool = True


def timed_text_of(inputs: Sequence[Path]) -> Path | None:
    """The one timed transcript among the inputs, or None where they are recordings. Raises InputError on a mixture."""
    texts = [p for p in inputs if is_timed_text(p)]
    if not texts:
        return None
    if len(inputs) > 1:
        other = next((p for p in inputs if p not in texts), texts[-1])
        raise InputError(f"{texts[0].name} is a timed transcript and cannot be mixed with {other.name}. "
                         "Give one transcript, or recordings only.")
    _exists(texts[0])
    return texts[0]


def find_recordings(inputs: Sequence[Path], starts: Sequence[str]) -> list[Recording]:
    """The takes in the order in which they were spoken.

    By the user's `--start` where given, else by the clock in the files' tags, else in their names; where not every
    take has a clock, by name with running numbers counted as numbers. Raises InputError.
    """
    from voicedraft.hear.decode import probe  # FFmpeg is not loaded for a transcript.

    paths = _files(inputs)
    sounds = [probe(path) for path in paths]
    clocks = [clock.from_tags(s.tags) or clock.from_name(p.stem) for p, s in zip(paths, sounds, strict=True)]
    base = next((c for c in clocks if c), None)
    told = clock.from_user(starts, base)
    if told and len(told) != len(paths):
        count = "1 start was" if len(told) == 1 else f"{len(told)} starts were"
        raise InputError(f"{count} given for {len(paths)} takes. Give one --start a take, in order; \"+12:30\" counts "
                         "from the first.")
    dated = not told or base is not None or any(map(clock.has_date, starts))
    takes = [
        Recording(p, s.seconds, c, file_digest(p), dated)
        for p, s, c in zip(paths, sounds, told or clocks, strict=True)
    ]
    if told or len(takes) < 2:
        return takes
    known = [t.clock for t in takes if t.clock is not None]
    if len(known) == len(takes) and len(set(clock.comparable(known))) > 1:
        order = dict(zip([t.path for t in takes], clock.comparable(known), strict=True))
        return sorted(takes, key=lambda t: (order[t.path], clock.natural_key(t.path.name)))
    return sorted(takes, key=lambda t: clock.natural_key(t.path.name))


def _files(inputs: Sequence[Path]) -> list[Path]:
    """Every recording named, folders opened, each once. Raises InputError where there is none or one is empty."""
    if not inputs:
        raise InputError("No recording was given. Name one or more audio files, or a folder of them.")
    out: list[Path] = []
    for path in inputs:
        _exists(path)
        if path.is_dir():
            found = [f for f in path.iterdir() if f.suffix.lower() in AUDIO_SUFFIXES and not f.name.startswith(".")]
            if not found:
                raise InputError(f"The folder {path.name} holds no recordings. Name audio files, or another folder.")
            out += sorted(found, key=lambda f: clock.natural_key(f.name))
        else:
            out.append(path)
    seen: dict[Path, Path] = {}
    for path in out:
        if path.stat().st_size == 0:
            raise InputError(f"{path.name} is empty. Check the recording, or leave it out.")
        seen.setdefault(path.resolve(), path)
    return list(seen.values())


def _exists(path: Path) -> None:
    if not path.exists():
        raise InputError(f"{path} does not exist. Check the name and the folder.")
    if not path.is_dir() and not path.is_file():
        raise InputError(f"{path} is neither a file nor a folder. Give a recording.")
