"""Finds the lexicon's flavour words in a row of tokens, and tells word classes of single tokens."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from voicedraft.lexicon import Form, Lexicon

_PIECE = re.compile(r"\w+(?=n't\b)|n't|'\w+|\w+|[^\w\s]")


@dataclass(frozen=True, slots=True)
class Match:
    """A lexicon form over tokens `[first, last)`."""

    first: int
    last: int
    form: Form


def pieces(text: str) -> tuple[str, ...]:
    """The text as spaCy would cut it: "baker's" is two pieces, "blown-out" three."""
    return tuple(_PIECE.findall(text.lower().replace("’", "'")))


class Matcher:
    """Longest match first, left to right. `hidden` terms are left out (to learn how unlisted words look)."""

    def __init__(self, lexicon: Lexicon, hidden: Collection[str] = ()) -> None:
        self._forms: dict[str, list[tuple[tuple[str, ...], Form]]] = {}
        self.heads: dict[str, str] = {}
        """Last word of a listed term, with its family: the nearest entry of an unlisted compound."""
        for text, form in lexicon.forms.items():
            if form.term.term in hidden:
                continue
            cut = pieces(text)
            if cut:
                self._forms.setdefault(cut[0], []).append((cut, form))
                if form.kind != "adjective":
                    self.heads.setdefault(cut[-1], form.term.family)
        for found in self._forms.values():
            found.sort(key=lambda pair: -len(pair[0]))
        self._idioms: dict[str, list[tuple[str, ...]]] = {}
        for phrase in _leaves(lexicon.tables.get("not_flavours", {}).get("phrases", {})):
            cut = pieces(phrase)
            if cut:
                self._idioms.setdefault(cut[0], []).append(cut)

    def match(
        self, lower: Sequence[str], bounds: Sequence[tuple[int, int]]
    ) -> list[tuple[Match, int] | None]:
        """For each token the match that covers it and the token's place in it. Matches never cross a sentence."""
        out: list[tuple[Match, int] | None] = [None] * len(lower)
        for begin, end in bounds:
            i = begin
            while i < end:
                hit = self._at(lower, i, end)
                idiom = self._idiom(lower, i, end)
                if idiom and (hit is None or i + idiom > hit.last):
                    i += idiom
                    continue
                if hit is None:
                    i += 1
                    continue
                for k in range(hit.first, hit.last):
                    out[k] = (hit, k - hit.first)
                i = hit.last
        return out

    def _idiom(self, lower: Sequence[str], i: int, end: int) -> int:
        """Words of the longest phrase at `i` that holds a flavour word and is none ("piece of cake"), or 0."""
        return max((len(cut) for cut in self._idioms.get(lower[i], ())
                    if i + len(cut) <= end and all(lower[i + k] == cut[k] for k in range(1, len(cut)))), default=0)

    def _at(self, lower: Sequence[str], i: int, end: int) -> Match | None:
        for cut, form in self._forms.get(lower[i], ()):
            if i + len(cut) <= end and all(lower[i + k] == cut[k] for k in range(1, len(cut))):
                return Match(i, i + len(cut), form)
        return None


def modifier_classes(lexicon: Lexicon) -> dict[str, str]:
    """Each modifier word of lexicon/modifiers.toml with its class: keep, drop or either."""
    table = lexicon.tables.get("modifiers", {})
    out: dict[str, str] = {}
    for word in _leaves(table.get("drop", {})):
        out[word] = "drop"
    for word in _leaves(table.get("keep", {})):
        out.setdefault(word, "keep")
    either = table.get("keep", {}).get("either", {}) if isinstance(table.get("keep"), Mapping) else {}
    for word in either:
        out[word] = "either"
    return out


def amounts(lexicon: Lexicon) -> dict[str, frozenset[str]]:
    """Words of lexicon/modifiers.toml that tell how much, with the nouns before which they are part of a name: those
    that stand both under [drop] and under [keep.either]."""
    table = lexicon.tables.get("modifiers", {})
    either = table.get("keep", {}).get("either", {})
    dropped = frozenset(_leaves(table.get("drop", {})))
    return {word: frozenset(nouns) for word, nouns in either.items() if word in dropped}


def _leaves(node: object) -> list[str]:
    if isinstance(node, str):
        return [node]
    if isinstance(node, Mapping):
        return [w for v in node.values() for w in _leaves(v)]
    if isinstance(node, (list, tuple)):
        return [w for v in node for w in _leaves(v)]
    return []
