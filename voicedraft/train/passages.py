"""Short passages about facts, written for fitting: what is told of the cigar in hand beside what is told of others.

Each block of `voicedraft/train/data/facts-*.md` is a session of a few sentences ("> section/stage: words") and the
facts told in it, as TOML; a block without facts tells none.
"""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from voicedraft.evaluate.gold import gold_passages
from voicedraft.evaluate.gold_vtt import heard
from voicedraft.read.analysis import Analysis
from voicedraft.train.analysed import analysed
from voicedraft.types import Passage, Section, Stage

FOLDER = Path(__file__).resolve().parent / "data"
Row = tuple[str, Section, Stage | None]
"""Words, section and stage of a sentence."""


@dataclass(frozen=True)
class Short:
    """`rows` are (words, section, stage); `facts` are named and measured as in a gold session."""

    name: str
    rows: tuple[Row, ...]
    facts: dict[str, Any]

    def spoken(self) -> tuple[Analysis, Sequence[Passage]]:
        """The analysis and the passages, one a row."""
        told = [{"t": text, "section": section, "stage": stage} for text, section, stage in self.rows]
        gold = {"id": self.name, "takes": [{"minutes_since_light": None, "sentences": told}]}
        return analysed(heard(gold, "sentences")), gold_passages(gold)


def short_passages(folder: Path = FOLDER) -> list[Short]:
    """Every block of every file, in order of file name. Raises ValueError where a block's facts are no TOML."""
    out = []
    for file in sorted(folder.glob("facts-*.md")):
        blocks = file.read_text(encoding="utf-8").split("\n\n")[1:]
        out += [_short(f"{file.stem}-{n}", block) for n, block in enumerate(blocks, start=1)]
    return out


def told_block(lines: Sequence[str]) -> tuple[tuple[Row, ...], dict[str, Any]]:
    """(sentences, the TOML beside them) of a block: lines "> section/stage: words", all others are the TOML.

    Raises ValueError where those are none.
    """
    rows = []
    for line in lines:
        if line.startswith("> "):
            label, _, said = line[2:].partition(": ")
            section, _, stage = label.partition("/")
            rows.append((said, cast("Section", section), cast("Stage | None", stage or None)))
    return tuple(rows), tomllib.loads("\n".join(line for line in lines if not line.startswith("> ")))


def _short(name: str, block: str) -> Short:
    rows, facts = told_block(block.strip().splitlines())
    return Short(name, rows, _as_gold(facts))


def _as_gold(told: dict[str, Any]) -> dict[str, Any]:
    """Prices in the gold sessions' shape."""
    out = {k: v for k, v in told.items() if k not in ("price_single", "price_box", "box_count")}
    if "price_single" in told:
        out["price_single"] = {"amount": told["price_single"]}
    if "price_box" in told or "box_count" in told:
        low, high = told.get("price_box", (None, None))
        out["price_box"] = {"low": low, "high": high, "count": told.get("box_count")}
    return out
