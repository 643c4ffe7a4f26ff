"""One mention of strength: a range, the third that it is of, and where it was said."""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.facts.context import Line

STAGES = ("first", "second", "final")


@dataclass(frozen=True, slots=True)
class Mention:
    """Strength [low, high] of a stage, at tokens `[first, last)` of a line. The heaviest mention of a stage stands."""

    stage: str
    low: int
    high: int
    line: Line
    first: int
    last: int
    weight: int
    detail: str
