"""Finds the phrases of a word list in tokens, longest first. Lists are lexicon data; accents and case are folded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from voicedraft.read.numbers.tokens import Token, tokenise_text

V = TypeVar("V")


@dataclass(frozen=True, slots=True)
class Hit(Generic[V]):
    """Value of the phrase at tokens `[first, last)`."""

    value: V
    first: int
    last: int


class Phrases(Generic[V]):
    """A table from phrase to value, matched token by token. No phrase crosses a full stop, or any comma of its own."""

    def __init__(self, table: Mapping[str, V]) -> None:
        self._by_first: dict[str, list[tuple[tuple[str, ...], V]]] = {}
        for phrase, value in table.items():
            words = tuple(t.text for t in tokenise_text(phrase))
            if words:
                self._by_first.setdefault(words[0], []).append((words, value))
        self.firsts = frozenset(self._by_first)
        for options in self._by_first.values():
            options.sort(key=lambda option: -len(option[0]))

    def at(self, tokens: Sequence[Token], i: int) -> Hit[V] | None:
        """The longest phrase that starts at token `i`, or None."""
        options = self._by_first.get(tokens[i].text)
        if options is None:
            return None
        for words, value in options:
            if len(words) == 1:
                return Hit(value, i, i + 1)
            last = i + len(words)
            if last > len(tokens):
                continue
            if all(tokens[i + k].text == w for k, w in enumerate(words)) and not any(
                t.breaks for t in tokens[i + 1 : last]
            ):
                return Hit(value, i, last)
        return None

    def find(self, tokens: Sequence[Token], first: int = 0, last: int | None = None) -> list[Hit[V]]:
        """All phrases within `[first, last)`, left to right, none overlapping."""
        end = len(tokens) if last is None else min(last, len(tokens))
        out: list[Hit[V]] = []
        i = max(first, 0)
        while i < end:
            if tokens[i].text not in self.firsts:
                i += 1
                continue
            hit = self.at(tokens, i)
            if hit is not None and hit.last <= end:
                out.append(hit)
                i = hit.last
            else:
                i += 1
        return out

    def any(self, tokens: Sequence[Token], first: int = 0, last: int | None = None) -> bool:
        """Whether any phrase lies within `[first, last)`."""
        end = len(tokens) if last is None else min(last, len(tokens))
        return any((hit := self.at(tokens, i)) is not None and hit.last <= end for i in range(max(first, 0), end))


def flags(phrases: Iterable[str]) -> Phrases[str]:
    """A plain list of phrases; each one's value is itself."""
    return Phrases({p: p for p in phrases})
