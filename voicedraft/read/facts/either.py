"""Of two leaves one, and nobody said which: "Dominican or Honduran, I couldn't say"."""

from __future__ import annotations

from itertools import pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.leaves import Leaf, find_leaves

_OR = frozenset({"or", "a", "an", "else", "maybe", "perhaps", "possibly", "from", "some", "the", "it", "'s", "is"})


def either_of_two(line: Line, first: int, last: int) -> bool:
    """Whether the leaf at tokens `[first, last)` stands on either side of an "or", with another country's beyond.

    "San Andrés, or Mexican if you like" is one leaf by two names; "Mexican, or rather Honduran" puts it right.
    """
    leaves = find_leaves(line.tokens, line.words.leaves.find(line.tokens), 0, len(line.tokens))
    for a, b in pairwise(leaves):
        between = [t.text for t in line.tokens[a.last : b.first]]
        apart = between[:1] == ["or"] and set(between) <= _OR and not _one(a, b)
        if apart and any(x.first < last and first < x.last for x in (a, b)):
            return True
    return False


def _one(a: Leaf, b: Leaf) -> bool:
    homes = {x.country or x.home for x in (a, b)}
    seeds = bool(a.seeds and b.seeds and a.seeds != b.seeds)
    return len(homes) == 1 and not seeds
