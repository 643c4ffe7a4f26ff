"""Kept hearings: what was heard of a take is remembered by the digest of its sound, window by window.

A finished window is one line appended to the take's journal, so that a stop or a crash loses only the windows in work.
A finished take becomes one file, written whole.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from voicedraft.hear.recognise import HeardWord
from voicedraft.models import write_atomically

FORMAT = 5
"""Grows when the way of hearing changes so much that older hearings must not be used."""


def settings_key(settings: Mapping[str, Any]) -> str:
    """Short name of the settings that decide what is heard."""
    text = json.dumps({"format": FORMAT, **settings}, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


class Store:
    """One folder of kept hearings under one set of settings. `use` False forgets what was kept before."""

    def __init__(self, folder: Path, key: str, use: bool = True) -> None:
        self._folder, self._key, self._use = folder / "hear", key, use
        self.failed: OSError | None = None
        """Why nothing is kept, where the folder cannot be written."""

    def _path(self, digest: str, suffix: str) -> Path:
        return self._folder / f"{digest[:32]}-{self._key}{suffix}"

    def finished(self, digest: str) -> list[HeardWord] | None:
        """The words of a take that was heard to its end, or None."""
        if not self._use:
            return None
        try:
            body = json.loads(self._path(digest, ".json").read_text(encoding="utf-8"))
            return _from_rows(body["words"])
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def windows(self, digest: str) -> dict[str, list[HeardWord]]:
        """Finished windows of a take that was not heard to its end, by their key. A torn last line is passed over."""
        if not self._use:
            with contextlib.suppress(OSError):
                self._path(digest, ".part").unlink(missing_ok=True)
            return {}
        out: dict[str, list[HeardWord]] = {}
        try:
            lines = self._path(digest, ".part").read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError):
            return {}
        for line in lines:
            with contextlib.suppress(ValueError, KeyError, TypeError):
                row = json.loads(line)
                out[row["window"]] = _from_rows(row["words"])
        return out

    def add(self, digest: str, window: str, words: list[HeardWord]) -> None:
        """Keep one finished window, on the disk before this returns."""
        line = json.dumps({"window": window, "words": _rows(words)}, ensure_ascii=False)
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with self._path(digest, ".part").open("ab") as file:
                begin = b"\n" if file.tell() else b""  # A torn line of before must not swallow this one.
                file.write(begin + line.encode() + b"\n")
                file.flush()
                os.fsync(file.fileno())
        except OSError as error:
            self.failed = error

    def finish(self, digest: str, words: list[HeardWord]) -> None:
        """Keep a take that was heard to its end."""
        try:
            write_atomically(self._path(digest, ".json"), json.dumps({"words": _rows(words)}, ensure_ascii=False))
            self._path(digest, ".part").unlink(missing_ok=True)
        except OSError as error:
            self.failed = error


def _rows(words: list[HeardWord]) -> list[list[Any]]:
    return [[w.text, w.start, w.end, w.probability] for w in words]


def _from_rows(rows: list[list[Any]]) -> list[HeardWord]:
    return [HeardWord(str(t), float(s), float(e), float(p)) for t, s, e, p in rows]
