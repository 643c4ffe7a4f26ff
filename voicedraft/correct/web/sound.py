"""The recordings of a session, as the page plays them: only files that sources.json names, and only while they are the
very bytes that the draft was made from."""

from __future__ import annotations

import hashlib
import threading
from dataclasses import dataclass
from pathlib import Path

from voicedraft.correct.recordings import recordings
from voicedraft.errors import InputError

MEDIA_TYPES = {
    ".opus": "audio/ogg", ".ogg": "audio/ogg", ".oga": "audio/ogg", ".flac": "audio/flac", ".wav": "audio/wav",
    ".mp3": "audio/mpeg", ".m4a": "audio/mp4", ".mp4": "audio/mp4", ".webm": "audio/webm",
}
"""Suffix → media type, of what browsers play (RFC 7845, RFC 9639, RFC 2361 and the types' registrations)."""


@dataclass(frozen=True, slots=True)
class Sound:
    """One recording that may be served."""

    path: Path
    media_type: str
    digest: str


class Sounds:
    """The recordings of one draft folder. Digests are computed once a file, and again when the file changes."""

    def __init__(self, directory: Path) -> None:
        self._directory = directory
        self._checked: dict[tuple[str, int, int, int], str] = {}
        self._lock = threading.Lock()

    def known(self) -> dict[int, tuple[Path, str]]:
        """Take number → path and digest, of recordings that exist and that a browser can play."""
        return {number: (path, digest) for number, (path, digest) in recordings(self._directory).items()
                if digest and path.suffix.lower() in MEDIA_TYPES}

    def get(self, take: int) -> Sound:
        """The recording of a take. Raises InputError where there is none, or it is not the one of the draft."""
        entry = self.known().get(take)
        if entry is None:
            raise InputError(f"There is no recording of take {take} to play. It was moved, or the draft has none.")
        path, digest = entry
        if self._digest(path) != digest:
            raise InputError(f"{path.name} is not the recording that the draft was made from. Make the draft again.")
        return Sound(path, MEDIA_TYPES[path.suffix.lower()], digest)

    def _digest(self, path: Path) -> str:
        stat = path.stat()
        key = (str(path), stat.st_mtime_ns, stat.st_size, stat.st_ino)
        with self._lock:
            if key not in self._checked:
                with path.open("rb") as file:
                    self._checked[key] = hashlib.file_digest(file, "sha256").hexdigest()
            return self._checked[key]
