"""Golden cases of the descriptors: told passages in, lines of `stage | term | status | intensity` out."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from voicedraft.lexicon import load_lexicon
from voicedraft.read.analysis import analyse
from voicedraft.read.descriptors import read_descriptors
from voicedraft.types import Descriptor, Passage, Take, Transcript, Word

FOLDER = Path(__file__).parent / "golden"


@dataclass(frozen=True)
class Case:
    """One titled case. `beside`: stages in which further entries do no harm."""

    title: str
    passages: tuple[tuple[str, str | None, str], ...]
    expected: tuple[str, ...]
    beside: tuple[str, ...]


def cases(name: str) -> list[Case]:
    """The cases of tests/golden/NAME.toml."""
    data: dict[str, Any] = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    return [
        Case(c["title"], tuple((a, None if b == "none" else b, text) for a, b, text in c["passages"]),
             tuple(c.get("expected", ())), tuple(c.get("beside", ())))
        for c in data["case"]
    ]


@cache
def told(passages: tuple[tuple[str, str | None, str], ...]) -> tuple[Transcript, tuple[Descriptor, ...]]:
    """The transcript of the passages and what is read of it; a word every 0.4 s, as at 150 words a minute."""
    words: list[Word] = []
    spans: list[Passage] = []
    for n, (section, stage, text) in enumerate(passages):
        first = len(words)
        for word in text.split():
            at = 0.4 * len(words)
            words.append(Word(text=word, start=at, end=at + 0.36, take=1, heard=word))
        spans.append(Passage(f"p{n + 1}", 1, first, len(words), section, stage, 1.0))  # type: ignore[arg-type]
    transcript = Transcript(tuple(words), (Take(1, 0.0, 0.4 * len(words), "told"),))
    return transcript, read_descriptors(analyse(transcript), tuple(spans), load_lexicon())


def lines(descriptors: tuple[Descriptor, ...]) -> list[str]:
    """`stage | term | status | intensity`, sorted."""
    return sorted(f"{d.stage} | {d.term} | {d.status} | {d.intensity or '-'}" for d in descriptors)


def right(case: Case) -> bool:
    """Whether the case is read as expected."""
    _, found = told(case.passages)
    counted = tuple(d for d in found if d.stage not in case.beside)
    return lines(counted) == sorted(case.expected)
