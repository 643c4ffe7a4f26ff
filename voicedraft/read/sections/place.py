"""Where a sentence stands: position, take, clock and gaps, as soft steps. No unit of the gold is used: only word times.

Knots of the soft steps only lay out the axes; what a place is worth is learned.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from voicedraft.read.sections.labels import Floats
from voicedraft.read.sentences import Sentence

_AXES: tuple[tuple[str, tuple[float, ...]], ...] = (
    ("share of the words", tuple(i / 8 for i in range(9))),
    ("share of the clock", tuple(i / 8 for i in range(9))),
    ("share of the take", (0, 0.25, 0.5, 0.75, 1)),
    ("take of all takes", tuple(i / 5 for i in range(6))),
    ("take number", tuple(range(1, 9))),
    ("gap before the take", (0, 1, 2, 3, 4)),
    ("minutes since the start", (0, 2, 5, 10, 20, 40, 60, 80, 110)),
    ("words since the take began", (0, 1.5, 3, 4.5, 6)),
)
WITHIN, NEW_TAKE, SAME = 0, 1, 2
_ENDED = re.compile(r"[.?!…][\"'”’)\]]*$")
_FLAGS = ("last take", "first sentence", "last sentence", "first of its take", "last of its take")
NAMES: tuple[str, ...] = tuple(f"{name} {knot:g}" for name, knots in _AXES for knot in knots) + _FLAGS


@dataclass(frozen=True, slots=True)
class Place:
    """`rows`: (sentences, len(NAMES)). `kinds[i]`: how sentence i follows the one before: WITHIN, NEW_TAKE, or
    SAME (the clause before did not end its printed sentence)."""

    rows: Floats
    kinds: tuple[int, ...]


def soft(value: float, knots: Sequence[float]) -> Floats:
    """(knots,) shares of the two neighbouring knots, summing to one; clipped at the ends."""
    out = np.zeros(len(knots))
    value = min(max(value, knots[0]), knots[-1])
    for i in range(len(knots) - 1):
        low, high = knots[i], knots[i + 1]
        if low <= value <= high:
            out[i], out[i + 1] = (high - value) / (high - low), (value - low) / (high - low)
            break
    return out


def place(sentences: Sequence[Sentence]) -> Place:
    """Place of every sentence of a session that has at least one."""
    bounds: dict[int, tuple[int, int]] = {}
    for i, s in enumerate(sentences):
        bounds[s.take] = (bounds.get(s.take, (i, i))[0], i)
    takes = list(bounds)
    words, end = sentences[-1].last, max(sentences[-1].end, 1e-6)
    rows = []
    for i, s in enumerate(sentences):
        a, z = bounds[s.take]
        first, last = sentences[a].first, sentences[z].last
        gap = (sentences[a].start - sentences[a - 1].end) / 60 if a else 0.0
        number = takes.index(s.take) + 1
        values = (
            s.first / words, s.start / end, (s.first - first) / max(1, last - first),
            number / len(takes) if len(takes) > 1 else 0.5, float(number), float(np.log1p(max(0.0, gap))),
            s.start / 60, float(np.log1p(s.first - first)),
        )
        flags = [number == len(takes), i == 0, i == len(sentences) - 1, i == a, i == z]
        rows.append(np.concatenate([*(soft(v, k) for v, (_, k) in zip(values, _AXES, strict=True)), flags]))
    return Place(np.array(rows), tuple(_kind(sentences, i) for i in range(len(sentences))))


def _kind(sentences: Sequence[Sentence], i: int) -> int:
    if i == 0:
        return WITHIN
    if sentences[i - 1].take != sentences[i].take:
        return NEW_TAKE
    return WITHIN if _ENDED.search(sentences[i - 1].text) else SAME
