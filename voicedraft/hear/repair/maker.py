"""The cigar's name as the reviewer spells it, put in place of its mishearings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold, key, likeness
from voicedraft.hear.repair.unknown import known_words

LEAST, LEAST_RARE = 0.84, 0.78
"""Likeness from which a run of words is the name: for any run of it, and for one with a word that is no English."""


class Maker:
    """Every run of words of the name, longest first, that is telling enough to be looked for."""

    def __init__(self, cigar: str) -> None:
        words = cigar.split()
        english = known_words()
        self._runs: list[tuple[str, float]] = []
        for size in range(len(words), 0, -1):
            for at in range(len(words) - size + 1):
                run = " ".join(words[at : at + size])
                rare = any(w not in english for w in fold(run).split())
                letters = len(fold(run).replace(" ", ""))
                if (rare and letters >= 4) or (size >= 2 and letters >= 8):
                    self._runs.append((run, LEAST_RARE if rare else LEAST))

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each run of words that sounds like the name, or a part of it, and is not spelt so."""
        for run, least in self._runs:
            found: list[tuple[float, int, int]] = []
            size = len(run.split())
            for first in range(len(words)):
                for last in range(first + max(1, size - 1), min(len(words), first + size + 2) + 1):
                    if any(i in stops for i in range(first, last - 1)):
                        continue
                    heard = " ".join(words[first:last])
                    like = likeness(heard, run)
                    if like >= least and key(heard)[:1] == key(run)[:1]:
                        found.append((like, first, last))
            yield from _best_of(run, found)


def _best_of(run: str, found: list[tuple[float, int, int]]) -> Iterator[Proposal]:
    """The most alike of overlapping stretches; where one is spelt right already, nothing at that place."""
    taken: list[tuple[int, int]] = []
    for like, first, last in sorted(found, reverse=True):
        if all(last <= a or first >= b for a, b in taken):
            taken.append((first, last))
            yield Proposal(first, last, run, like, f"sounds like the cigar's name “{run}”")
