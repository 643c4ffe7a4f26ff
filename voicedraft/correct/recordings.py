"""The recordings that a draft names in sources.json, as far as they are there. The file may come from anybody."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from voicedraft.draft.write import read_sources


def recordings(directory: Path) -> dict[int, tuple[Path, str]]:
    """Take number → path of its recording and the digest that it had. Rows that make no sense are passed over."""
    found: dict[int, tuple[Path, str]] = {}
    for row in _rows(directory):
        if not isinstance(row, dict):
            continue
        number, path, digest = row.get("number"), row.get("path"), row.get("digest", "")
        if type(number) is int and isinstance(path, str) and isinstance(digest, str) and _is_file(Path(path)):
            found[number] = (Path(path), digest)
    return found


def _rows(directory: Path) -> list[Any]:
    try:
        sources: Any = read_sources(directory)
    except RecursionError:
        return []
    rows = sources.get("takes") if isinstance(sources, dict) else None
    return rows if isinstance(rows, list) else []


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False
