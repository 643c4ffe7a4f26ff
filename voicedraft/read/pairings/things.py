"""What can be neither eaten nor drunk, as a dictionary tells it."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.nouns import things
from voicedraft.read.pairings.tokens import Token

_SERVED = frozenset({
    "ring", "strip", "skewer", "nugget", "stick", "finger", "ball", "bar", "twist", "straw", "knot", "cluster",
    "square", "platter",
})
"""Shapes in which food is served: "elk strips"."""


def a_thing(tokens: Sequence[Token], first: int, last: int) -> bool:
    """Whether unlisted words can be neither eaten nor drunk: "mitten", "a broke fence", "floor polish".

    A word that the dictionary does not know may be anything, and so may a name with a capital, a shape of what can be
    eaten ("goat strips"; not "gold bars"), and a red of some kind ("a chilled red").
    """
    head = tokens[last - 1]
    if head.pos == "PROPN" or head.mark or not _known(head):
        return False
    before = tokens[last - 2] if first < last - 1 else None
    if before is None:
        return True
    if head.lower == "red":
        return before.pos == "NOUN"
    return head.lemma not in _SERVED or before.pos not in ("NOUN", "PROPN") or _known(before)


def _known(token: Token) -> bool:
    return token.lower in things() or token.lemma in things()
