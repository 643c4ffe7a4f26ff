"""The files of learned weights: whatever is wrong with one, it is named."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from voicedraft.errors import ModelError
from voicedraft.read.facts import model as facts
from voicedraft.read.pairings import model as pairings
from voicedraft.read.scores import model as scores
from voicedraft.read.sections import weights as sections
from voicedraft.read.strength import model as strength

FILES: dict[str, tuple[Path, Callable[[Path], Any]]] = {
    "sections": (sections.FILE, sections.load), "pairings": (pairings.FILE, pairings.load),
    "facts": (facts.FILE, facts.load), "scores": (scores.FILE, scores.load),
    "strength": (strength.FILE, strength.load),
}


@pytest.mark.parametrize("part", FILES)
@pytest.mark.parametrize("share", [0.1, 0.3, 0.5, 0.7, 0.9])
def test_a_damaged_byte_is_named(part: str, share: float, tmp_path: Path) -> None:
    """One byte changed anywhere in the packed data: the message names the file and how to make it again."""
    shipped, load = FILES[part]
    data = bytearray(shipped.read_bytes())
    data[int(share * len(data))] ^= 0xFF
    damaged = tmp_path / shipped.name
    damaged.write_bytes(bytes(data))
    with pytest.raises(ModelError, match=rf"{shipped.name} cannot be read .*voicedraft\.train {part}"):
        load(damaged)
