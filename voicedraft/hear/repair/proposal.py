"""A repair before it is made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Proposal:
    """Words `[first, last)` of a take should read `right`."""

    first: int
    last: int
    right: str
    confidence: float
    reason: str


class Proposer(Protocol):
    """One kind of repair."""

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """Repairs for the folded words of one take. stops: indices after which a sentence or clause ends; odds: the
        recogniser's probability of each word."""
