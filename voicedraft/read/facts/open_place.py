"""Rule: a filler of which more leaves were announced than named: "three origins, Brazil, Peru and a surprise".

A leaf told later, where the filler is the talk again, takes the open place instead of the whole list's.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.leaves import Leaf

_FEWEST, _MOST = 2, 5
"""Leaves of a filler that is a mixture (common practice, no source)."""
_ORDINALS = {"third": 3, "fourth": 4, "fifth": 5}
_NEAR = 3
"""Tokens between the number and the word for leaves: "three different kinds of leaf"."""
_LEAVES = frozenset({
    "leaf", "leaves", "origins", "countries", "tobaccos", "kinds", "sorts", "lots", "places", "things", "parts", "of",
})


def announced(line: Line, leaves: Sequence[Leaf]) -> int:
    """How many leaves a sentence says that the filler has; 0 where it does not."""
    counts = [
        int(n.value) for n in line.quantities.numbers
        if not n.ordinal and n.value == int(n.value) and _FEWEST <= n.value <= _MOST
        and _LEAVES & {t.text for t in line.tokens[n.last : n.last + _NEAR]}
    ]
    last = leaves[-1].last if leaves else 0
    thirds = [_ORDINALS[t.text] for t in line.tokens[last:] if t.text in _ORDINALS]
    return max([*counts, *thirds], default=0)


def takes_open_place(old: Sequence[Leaf], new: Sequence[Leaf], count: int) -> bool:
    """Whether new leaves fit beside the old ones in the number that was announced."""
    known = {leaf.country or leaf.text for leaf in old}
    return 0 < len(new) <= count - len(old) and not any((x.country or x.text) in known for x in new)
