"""Writes a draft folder: every file whole or not at all."""

from __future__ import annotations

import contextlib
import errno
import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from voicedraft.draft.document import Review
from voicedraft.draft.render import markdown, page, transcript
from voicedraft.errors import OutputError

REVIEW, READING, SOURCES = "review.json", "reading.json", "sources.json"
FILES = (REVIEW, "review.md", "review.html", "transcript.vtt")
"""What a draft folder holds for its reader."""


def write_text(path: Path, text: str) -> None:
    """Replaces `path` by `text` in one step. Raises OutputError naming the folder and the next step."""
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", dir=path.parent, prefix=f".{path.name}-", delete=False
        ) as file:
            temporary = file.name
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        os.replace(temporary, path)
    except OSError as error:
        if temporary:
            with contextlib.suppress(OSError):
                os.unlink(temporary)
        raise _output_error(path.parent, error) from error


def _output_error(folder: Path, error: OSError) -> OutputError:
    if error.errno in (errno.ENOSPC, errno.EDQUOT):
        return OutputError(f"There is no space left to write in {folder}. Free some space or choose another --output.")
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return OutputError(f"{folder} cannot be written (no permission). Choose another --output.")
    if error.errno in (errno.ENOTDIR, errno.EEXIST):
        return OutputError(f"{folder} is a file, not a folder. Choose another --output.")
    return OutputError(f"{folder} cannot be written ({error.strerror}). Choose another --output.")


def to_json(review: Review) -> str:
    """`review.json` as text."""
    return review.model_dump_json(indent=1, exclude_none=False) + "\n"


def read_review(path: Path) -> Review:
    """A review document from its file. Raises OutputError where it is missing or not one."""
    try:
        return Review.model_validate_json(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise OutputError(f"{path} cannot be read. Make a draft first: voicedraft draft INPUT --output DIR.") from error
    except ValueError as error:
        raise OutputError(f"{path} is not a review of this program's schema. Make the draft again.") from error


def read_sources(directory: Path) -> dict[str, Any]:
    """The recordings that a draft was made from: {"takes": [{"number": int, "path": str, "digest": str}]}.

    Whatever in the file has another shape is left out; without a file there are no takes.
    """
    try:
        body = json.loads((directory / SOURCES).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {"takes": []}
    takes = body.get("takes") if isinstance(body, dict) else None
    return {"takes": [t for t in takes if _is_source(t)] if isinstance(takes, list) else []}


def _is_source(take: object) -> bool:
    if not isinstance(take, dict) or not isinstance(take.get("number"), int) or isinstance(take["number"], bool):
        return False
    return all(isinstance(take.get(key), str) and "\0" not in take[key] for key in ("path", "digest"))


def write_draft(review: Review, directory: Path, sounds: Mapping[int, str] | None = None) -> list[Path]:
    """Writes review.json, review.md, review.html and transcript.vtt, and gives their paths.

    `sounds`: take number → link to its recording as seen from `directory`. All texts are rendered before the first
    is written. Raises OutputError.
    """
    texts = {
        REVIEW: to_json(review), "review.md": markdown(review, sounds), "review.html": page(review, sounds),
        "transcript.vtt": transcript(review),
    }
    for name, text in texts.items():
        write_text(directory / name, text)
    return [directory / name for name in texts]
