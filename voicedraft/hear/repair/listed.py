"""Names that are listed with what is right for them, found wherever they are heard, with their "'s" or without."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from voicedraft.hear.repair.context import Place

Words = tuple[str, ...]


class Listed:
    """right: what each name, as folded words, should read."""

    def __init__(self, right: Mapping[Words, str]) -> None:
        self._right = right
        self._longest = max(map(len, right), default=0)

    def found(self, words: Sequence[str], stops: frozenset[int]) -> Iterator[tuple[Place, Words, str, str]]:
        """(place, name as it is listed, what is right for it, "'s" or "") of each name across which no clause ends."""
        for first in range(len(words)):
            for last in range(first + 1, min(first + self._longest, len(words)) + 1):
                heard = (*words[first : last - 1], words[last - 1].removesuffix("'s"))
                right = self._right.get(heard)
                if right is not None and not stops.intersection(range(first, last - 1)):
                    yield Place(words, stops, first, last), heard, right, words[last - 1][len(heard[-1]) :]
