"""Cigar sizes: "six by fifty-two", "152 by 54", "five and a half inches by 54", "by 52", with corrections inside.

The second number is the ring gauge, the diameter in sixty-fourths of an inch (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.numbers.length import Length, bare_length
from voicedraft.read.numbers.tokens import Token

RING_RANGE = (20, 80)
_BY = frozenset({"by", "x", "×", "times"})
_PERCENT = frozenset({"percent", "per", "%", "degrees", "rh"})
_FILL = frozenset({"a", "an", "about", "roughly", "around"})


@dataclass(frozen=True, slots=True)
class Size:
    """`mm` and `ring` of tokens `[first, last)`; one of them may be None ("by 52")."""

    mm: float | None
    ring: int | None
    first: int
    last: int


def is_ring(number: Number) -> bool:
    """A whole number that may be a ring gauge, 20 to 80."""
    return not number.ordinal and number.value == int(number.value) and RING_RANGE[0] <= number.value <= RING_RANGE[1]


def sizes(tokens: Sequence[Token], numbers: Sequence[Number], lengths: Sequence[Length]) -> tuple[Size, ...]:
    """Every size and every lone "by 52", in order."""
    by_first = {n.first: n for n in numbers}
    ends_number = {n.last: n for n in numbers}
    ends_length = {x.last: x for x in lengths}
    out: list[Size] = []
    for i, token in enumerate(tokens):
        if token.text not in _BY:
            continue
        after = i + 1
        while after < len(tokens) and tokens[after].text in _FILL and not tokens[after].breaks:
            after += 1
        ring = by_first.get(after)
        if ring is not None and ring.last < len(tokens) and tokens[ring.last].text in _PERCENT:
            continue
        if ring is None or not is_ring(ring):
            cut = ends_number.get(i)
            broken = i + 1 == len(tokens) or tokens[i + 1].breaks
            if cut is not None and broken and token.text == "by" and bare_length(cut.value) is not None:
                out.append(Size(bare_length(cut.value), None, cut.first, i + 1))
            continue
        length = ends_length.get(i)
        number = ends_number.get(i)
        if length is not None:
            out.append(Size(length.mm, int(ring.value), length.first, ring.last))
        elif number is not None and bare_length(number.value) is not None and number.value < 260:
            out.append(Size(bare_length(number.value), int(ring.value), number.first, ring.last))
        elif number is None and token.text == "by":
            out.append(Size(None, int(ring.value), i, ring.last))
    return (*out, *_beside(tokens, by_first, numbers)) if not out else tuple(out)


def _beside(tokens: Sequence[Token], by_first: dict[int, Number], numbers: Sequence[Number]) -> list[Size]:
    """"five and five eighths, 46 ring": a length with its fraction, and right after it the ring."""
    out = []
    for number in numbers:
        ring = by_first.get(number.last)
        named = ring is not None and ring.last < len(tokens) and tokens[ring.last].text == "ring"
        mixed = number.fraction and number.value > 1 and bare_length(number.value) is not None
        if ring is not None and named and mixed and is_ring(ring) and not tokens[ring.last].breaks:
            out.append(Size(bare_length(number.value), int(ring.value), number.first, ring.last))
    return out
