"""Rule: the noun phrase of a pairing as said: with its modifiers, without article or measure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.pairings.tokens import Token

_MODIFIERS = frozenset({"ADJ", "NOUN", "PROPN", "NUM", "VERB"})
_MODIFYING = frozenset({"amod", "compound", "nmod", "nummod", "poss", "advmod"})
_LEADING = frozenset({"DET", "PUNCT", "CCONJ", "ADP"})
_DROPPED = frozenset({
    "a", "an", "the", "some", "any", "my", "your", "our", "that", "this", "more", "another", "one", "of", "and", "or",
    "with", "bit", "piece", "slice", "square", "chunk", "hunk", "wedge", "handful", "plate", "bowl", "glass", "cup",
    "mug", "pot", "dram", "drop", "measure", "nip", "shot", "bottle", "can", "jug", "tot", "spoon", "spoonful", "few",
    "couple", "lot", "little", "bite", "splash", "finger", "maybe", "like", "even", "just", "good", "nice", "lovely",
    "decent", "no", "not",
})
NAMING = 0.1
"""Chance by its vector under which an unlisted word names no drink or food."""
NAMING_ALONE = 0.5
"""The same for a lone proper noun, which may be a person's name."""
_FILLERS = frozenset({"um", "uh", "er", "erm", "like", "maybe", "say"})


def runs(tags: Sequence[str], tokens: Sequence[Token]) -> list[tuple[int, int]]:
    """Tagged ranges; cut at "or" and "and" where names stand on both sides."""
    out: list[tuple[int, int]] = []
    i = 0
    while i < len(tags):
        tagged = tags[i] != "O"
        last = i + 1
        while tagged and last < len(tags) and tags[last] == "I":
            last += 1
        if tagged:
            cuts = [j for j in range(i + 1, last - 1) if tokens[j].lower in ("or", "and", ",")]
            edges = [i - 1, *cuts, last]
            out += [(a + 1, b) for a, b in pairwise(edges) if any(t.pos != "DET" for t in tokens[a + 1 : b])]
        i = last
    return out


_EMPTY = frozenset({
    "kind", "one", "ones", "sort", "thing", "things", "something", "anything", "nothing", "everything", "half", "type",
    "way", "none", "match", "glass", "cup", "mug", "pot", "plate", "supper", "dinner", "lunch", "food", "drink",
    "course", "dessert", "company",
})


def names_something(tokens: Sequence[Token], chances: Sequence[float], first: int, last: int) -> bool:
    """Whether the phrase can name a drink or food: a listed name, or a noun that is no empty word or person's name.

    chances: of each token's naming a drink or food, by its vector.
    """
    if any(t.mark for t in tokens[first:last]):
        return True
    head = tokens[last - 1]
    if head.lower in _EMPTY or not any(t.pos in ("NOUN", "PROPN") for t in tokens[first:last]):
        return False
    name = head.pos == "PROPN" and first == last - 1
    return max(chances[first:last]) >= (NAMING_ALONE if name else NAMING)


def belongs(tokens: Sequence[Token], before: tuple[int, int], first: int) -> bool:
    """Whether the phrase at `first` only dresses the one before it: "bara brith, with salted butter on it"."""
    between = [t.lower for t in tokens[before[1] : first] if t.pos not in ("PUNCT", "DET")]
    return between == ["with"]


def widen(tokens: tuple[Token, ...], first: int, last: int) -> tuple[int, int]:
    """The tagged range with the modifiers before it ("old dark" before "rum") and a second part of its noun after."""
    while first > 0 and _modifies(tokens, first - 1, first):
        first -= 1
    while last < len(tokens) and tokens[last].clause == tokens[last - 1].clause and _continues(tokens, last):
        last += 1
    while first < last - 1 and (tokens[first].lower in _DROPPED or tokens[first].pos in _LEADING):
        first += 1
    while last - 1 > first and tokens[last - 1].pos in ("PUNCT", "DET", "ADP", "CCONJ", "PRON"):
        last -= 1
    return first, last


def _modifies(tokens: tuple[Token, ...], i: int, head: int) -> bool:
    token = tokens[i]
    if token.clause != tokens[head].clause or token.lower in _DROPPED | _FILLERS:
        return False
    if token.lower in ("-", "'s", "’s"):
        return True
    return token.pos in _MODIFIERS and token.dep in _MODIFYING and token.head >= head


def _continues(tokens: tuple[Token, ...], i: int) -> bool:
    token = tokens[i]
    return token.lower == "-" or (
        token.pos in ("NOUN", "PROPN") and tokens[i - 1].dep in ("compound", "amod") and tokens[i - 1].head == i
    )


def printed(text: str) -> str:
    """The words as a pairing is printed: no article, no mark at the ends."""
    words = text.strip(" ,.;:!?…—–\"“”()").split()
    while len(words) > 1 and words[0].lower().strip(",") in ("a", "an", "the", "some", "any", "my", "your", "that"):
        words = words[1:]
    return " ".join(words)
