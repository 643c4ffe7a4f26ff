"""Rule: an image says what it says without a word of liking or refusing: "white wine against that is a mouse against a
lorry", "it with milk is like rain on a fair". Whether it praises or refuses is for the learned odds, evenly."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.pairings.refusal import GOOD
from voicedraft.read.pairings.tokens import Token

_BE = frozenset({"is", "was", "'s", "are", "were", "be"})
_ONE = frozenset({"a", "an", "two", "three", "your", "my", "someone", "somebody"})
_PLACED = frozenset({"against", "on", "in", "at", "over", "under", "through", "into", "to", "with", "from", "up"})
_REACH = 6
"""Tokens after a name in which its "is" must come: "white wine against that is a mouse …"; our own choice."""


def image(tokens: Sequence[Token], last: int) -> bool:
    """Whether the clause of the name that ends at `last` goes on with an image: one thing set against another.
    With a word of liking it is none: "a stout is a fine thing with a cigar"."""
    rest = [t for t in tokens[last:] if t.clause == tokens[last - 1].clause]
    at = next((i for i, t in enumerate(rest[:_REACH]) if t.lower in _BE), None)
    if at is None:
        return False
    if any(t.lemma in GOOD - {"like", "go"} for t in rest):
        return False
    said = [t.lower for t in rest[at + 1 :]]
    said = said[1:] if said[:1] == ["like"] else said
    return said[:1] != [] and said[0] in _ONE and any(
        a in _PLACED and b in _ONE for a, b in pairwise(said[1:])
    )
