"""One word of the trade that the recogniser wrote as two: "pumper nickel", "ground nut"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold
from voicedraft.lexicon import Lexicon

SHORTEST = 3
"""Letters of either half: shorter ones are words of their own too often ("in side")."""
CONFIDENCE = 0.95


class Joined:
    """Finds two words that run together are a flavour's name, where the lexicon does not know them apart."""

    def __init__(self, lexicon: Lexicon) -> None:
        forms = {fold(form) for form in lexicon.forms}
        self._whole = {form for form in forms if " " not in form and len(form) >= 2 * SHORTEST}
        self._apart = {form for form in forms if " " in form}

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each such pair; see `Proposer`."""
        for first, (one, two) in enumerate(pairwise(words)):
            whole, halves = one + two, (one, two)
            if whole not in self._whole or first in stops or f"{one} {two}" in self._apart:
                continue
            if all(len(half) >= SHORTEST and half.isalpha() for half in halves):
                yield Proposal(first, first + 2, whole, CONFIDENCE, f"“{whole}” written as two words")
