"""Reads the golden files of facts and strength: a title, the session's sentences, and what must be read of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.tiny import reading
from voicedraft.read.analysis import Analysis, analyse
from voicedraft.train.passages import Row, told_block
from voicedraft.types import Passage

GOLDEN = Path(__file__).resolve().parent / "golden"


@dataclass(frozen=True)
class Case:
    """`rows` are (text, section, stage); `expected` maps a fact or third to its value."""

    title: str
    rows: tuple[Row, ...]
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
        yield Case(title, *told_block(rest.splitlines()))


def table(name: str) -> list[tuple[str, ...]]:
    """Rows of the Markdown table in golden/NAME.md, its heading left out."""
    lines = (GOLDEN / f"{name}.md").read_text(encoding="utf-8").splitlines()
    rows = [tuple(cell.strip() for cell in line.strip("|").split("|")) for line in lines if line.startswith("|")]
    return rows[2:]
