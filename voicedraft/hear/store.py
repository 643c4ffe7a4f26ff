"""Kept hearings: what was heard of a take is remembered by the digest of its sound, window by window.

A window is one line appended to the take's journal once it was decoded, and another once its words are settled, so that
a stop or a crash loses only what was in work. A finished take becomes one file, written whole.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import threading
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from voicedraft.hear.recognise import HeardWord, Result
from voicedraft.models import write_atomically

FORMAT = 6
"""Grows when the way of hearing changes so much that older hearings must not be used."""


def settings_key(settings: Mapping[str, Any]) -> str:
    """Short name of the settings that decide what is heard."""
    text = json.dumps({"format": FORMAT, **settings}, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


@dataclass(frozen=True, slots=True)
class Finished:
    """What was heard of a window or a take. `words` are in seconds of the take; `first` is the text of the first
    hearing, by which the windows after it are told what the session has named."""

    words: list[HeardWord]
    first: str


@dataclass(frozen=True, slots=True)
class Decoded:
    """A window whose words have yet to be placed in time, guarded and, where they are doubtful, heard once more: what
    the model made of it, and what it was told."""

    result: Result
    told: list[str]


Kept = Finished | Decoded


class Store:
    """One folder of kept hearings under one set of settings. `use` False forgets what was kept before."""

    def __init__(self, folder: Path, key: str, use: bool = True) -> None:
        self._folder, self._key, self._use = folder / "hear", key, use
        self._writing = threading.Lock()
        self.failed: OSError | None = None
        """Why nothing is kept, where the folder cannot be written."""

    def _path(self, digest: str, suffix: str) -> Path:
        return self._folder / f"{digest[:32]}-{self._key}{suffix}"

    def finished(self, digest: str) -> Finished | None:
        """A take that was heard to its end, or None."""
        if not self._use:
            return None
        try:
            return _finished(json.loads(self._path(digest, ".json").read_text(encoding="utf-8")))
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def windows(self, digest: str) -> dict[str, Kept]:
        """Heard windows of a take that was not heard to its end, by their key. A torn last line is passed over."""
        if not self._use:
            with contextlib.suppress(OSError):
                self._path(digest, ".part").unlink(missing_ok=True)
            return {}
        out: dict[str, Kept] = {}
        try:
            lines = self._path(digest, ".part").read_bytes().split(b"\n")
        except OSError:
            return {}
        for line in lines:
            with contextlib.suppress(ValueError, KeyError, TypeError):
                row = json.loads(line)
                out[row["window"]] = _decoded(row) if "told" in row else _finished(row)
        return out

    def add(self, digest: str, window: str, kept: Kept) -> None:
        """Keep one window, on the disk before this returns; a later line of the same window counts. From any thread."""
        line = json.dumps({"window": window, **_body(kept)}, ensure_ascii=False)
        try:
            with self._writing:
                self._folder.mkdir(parents=True, exist_ok=True)
                with self._path(digest, ".part").open("ab") as file:
                    begin = b"\n" if file.tell() else b""  # A torn line of before must not swallow this one.
                    file.write(begin + line.encode() + b"\n")
                    file.flush()
                    os.fsync(file.fileno())
        except OSError as error:
            self.failed = error

    def finish(self, digest: str, take: Finished) -> None:
        """Keep a take that was heard to its end."""
        try:
            write_atomically(self._path(digest, ".json"), json.dumps(_body(take), ensure_ascii=False))
            self._path(digest, ".part").unlink(missing_ok=True)
        except OSError as error:
            self.failed = error


def _body(kept: Kept) -> dict[str, Any]:
    if isinstance(kept, Decoded):
        return {"result": asdict(kept.result), "told": kept.told}
    return {"words": [[w.text, w.start, w.end, w.probability] for w in kept.words], "first": kept.first}


def _decoded(body: Mapping[str, Any]) -> Decoded:
    tokens = tuple(int(t) for t in body["result"]["tokens"])
    return Decoded(Result(**{**body["result"], "tokens": tokens}), [str(t) for t in body["told"]])


def _finished(body: Mapping[str, Any]) -> Finished:
    return Finished(_from_rows(body["words"]), str(body["first"]))


def _from_rows(rows: Sequence[Sequence[Any]]) -> list[HeardWord]:
    return [HeardWord(str(t), float(s), float(e), float(p)) for t, s, e, p in rows]
