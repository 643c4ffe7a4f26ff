"""Finds the phrases of a word list in tokens, longest first. Lists are lexicon data; accents and case are folded."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from voicedraft.read.numbers.tokens import Token, split_text

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
        self._single: dict[str, V] = {}
        self._longer: dict[tuple[str, str], list[tuple[tuple[str, ...], V]]] = {}
        for phrase, value in table.items():
            words = split_text(phrase)
            if len(words) == 1:
                self._single.setdefault(words[0], value)
            elif words:
                self._longer.setdefault((words[0], words[1]), []).append((words, value))
        self.firsts = frozenset(self._single) | frozenset(first for first, _ in self._longer)
        for options in self._longer.values():
            options.sort(key=lambda option: -len(option[0]))

    def at(self, tokens: Sequence[Token], i: int) -> Hit[V] | None:
        """The longest phrase that starts at token `i`, or None."""
        first = tokens[i].text
        if first not in self.firsts:
            return None
        if i + 1 < len(tokens):
            for words, value in self._longer.get((first, tokens[i + 1].text), ()):
                last = i + len(words)
                if last <= len(tokens) and _matches(tokens, i, words):
                    return Hit(value, i, last)
        return Hit(self._single[first], i, i + 1) if first in self._single else None

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
        for i in range(max(first, 0), end):
            if tokens[i].text in self.firsts and (hit := self.at(tokens, i)) is not None and hit.last <= end:
                return True
        return False


def _matches(tokens: Sequence[Token], i: int, words: tuple[str, ...]) -> bool:
    """Whether the words stand at token `i` with no comma or stop between them."""
    if tokens[i + 1].breaks:
        return False
    return all(tokens[i + k].text == words[k] and not tokens[i + k].breaks for k in range(2, len(words)))


class Index:
    """Many lists looked up at once: which of them have a phrase in some tokens."""

    def __init__(self, lists: Mapping[str, Iterable[str]]) -> None:
        self._by_first: dict[str, list[tuple[tuple[str, ...], str]]] = {}
        for name, phrases in lists.items():
            for phrase in phrases:
                words = split_text(phrase)
                if words:
                    self._by_first.setdefault(words[0], []).append((words, name))

    def held(self, tokens: Sequence[Token]) -> frozenset[str]:
        """Names of the lists that have a phrase in the tokens, as `Phrases.any` finds them."""
        found: set[str] = set()
        for i, token in enumerate(tokens):
            for words, name in self._by_first.get(token.text, ()):
                if name not in found and (len(words) == 1 or _stands(tokens, i, words)):
                    found.add(name)
        return frozenset(found)


def _stands(tokens: Sequence[Token], i: int, words: tuple[str, ...]) -> bool:
    if i + len(words) > len(tokens) or tokens[i + 1].text != words[1]:
        return False
    return _matches(tokens, i, words)


def flags(phrases: Iterable[str]) -> Phrases[str]:
    """A plain list of phrases; each one's value is itself."""
    return Phrases({p: p for p in phrases})
