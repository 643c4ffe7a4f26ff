"""Reads the golden files of facts and strength: a title, the session's sentences, and what must be read of them."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from tests.tiny import reading
from voicedraft.read.analysis import Analysis, analyse
from voicedraft.types import Passage, Section, Stage

GOLDEN = Path(__file__).resolve().parent / "golden"


@dataclass(frozen=True)
class Case:
    """`rows` are (text, section, stage); `expected` maps a fact or third to its value."""

    title: str
    rows: tuple[tuple[str, Section, Stage | None], ...]
    expected: dict[str, Any]

    def spoken(self) -> tuple[Analysis, Sequence[Passage]]:
        """The analysis and passages of the case's sentences."""
        told = reading(self.rows)
        return analyse(told.transcript), told.passages


def cases(name: str) -> list[Case]:
    """Cases of golden/NAME.md, in order."""
    return list(_cases((GOLDEN / f"{name}.md").read_text(encoding="utf-8")))


def _cases(text: str) -> Iterator[Case]:
    for block in text.split("\n## ")[1:]:
        title, _, rest = block.partition("\n")
        rows, expected = [], []
        for line in rest.splitlines():
            if line.startswith("> "):
                label, _, said = line[2:].partition(": ")
                section, _, stage = label.partition("/")
                rows.append((said, cast("Section", section), cast("Stage | None", stage or None)))
            else:
                expected.append(line)
        yield Case(title, tuple(rows), tomllib.loads("\n".join(expected)))


def table(name: str) -> list[tuple[str, ...]]:
    """Rows of the Markdown table in golden/NAME.md, its heading left out."""
    lines = (GOLDEN / f"{name}.md").read_text(encoding="utf-8").splitlines()
    rows = [tuple(cell.strip() for cell in line.strip("|").split("|")) for line in lines if line.startswith("|")]
    return rows[2:]
