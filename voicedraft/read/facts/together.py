"""Values that go together are chosen together: the price of one with the box's, the length with the ring.

A box costs about its count times one, or somewhat less; a length and a ring said in one breath are of one cigar (both
common practice, no source).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from voicedraft.read.facts.candidates import Candidate


@dataclass(frozen=True, slots=True)
class Weighed:
    """A candidate with its log-odds of being the fact, the rules' choice counted in."""

    candidate: Candidate
    odds: float
    signs: tuple[str, ...]


FITS = 1.5
"""Log-odds that a pair gains where it fits, and a price loses where it does not."""
AGREES, STRAYS = (0.82, 1.005), (0.6, 1.2)
"""Share of the box's price in its count times one: what fits, and outside of what it does not."""
_BREATH = 8
"""Tokens between a length and a ring of one breath."""
_MOST = 12
"""Candidates of each role that are tried in pairs."""


def best_of(told: Mapping[str, Sequence[Weighed]]) -> dict[str, Weighed | None]:
    """The best candidate of each role, pairs weighed together; None where no candidate is there."""
    out = {name: max(found, key=_rank, default=None) for name, found in told.items()}
    count = out["box_count"]
    many = count.candidate.value if count is not None and count.odds > 0 else None
    one, box = _pair(told["price_single"], told["price_box"], lambda a, b: _prices(a, b, many))
    length, ring = _pair(told["length_mm"], told["ring_gauge"], _sizes)
    return {**out, "price_single": one, "price_box": box, "length_mm": length, "ring_gauge": ring}


def _rank(w: Weighed) -> tuple[float, int]:
    return w.odds, w.candidate.line.index


def _pair(
    first: Sequence[Weighed], second: Sequence[Weighed], fit: Callable[[Candidate, Candidate], float | None]
) -> tuple[Weighed | None, Weighed | None]:
    """The two that together weigh most, or one of them alone; `fit` gives the log-odds of the pair, None for never."""
    a, b = (sorted(found, key=_rank, reverse=True)[:_MOST] for found in (first, second))
    options: list[tuple[float, Weighed | None, Weighed | None]] = [(x.odds, x, None) for x in a]
    options += [(y.odds, None, y) for y in b]
    for x in a:
        for y in b:
            bonus = fit(x.candidate, y.candidate)
            if bonus is not None and x.odds + y.odds + bonus > max(x.odds, y.odds):
                options.append((x.odds + y.odds + bonus, x, y))
    _, one, two = max(options, key=lambda o: o[0], default=(0.0, None, None))
    return one, two


def _prices(one: Candidate, box: Candidate, count: float | None) -> float | None:
    amount = 100 * box.value if box.shape == "pair" and box.value < 10 else box.value
    if 2 * one.value > amount or one.value <= 0:
        return None
    if count is None:
        return 0.0
    share = amount / (one.value * count)
    return FITS if AGREES[0] <= share <= AGREES[1] else 0.0 if STRAYS[0] <= share <= STRAYS[1] else -FITS


def _sizes(length: Candidate, ring: Candidate) -> float | None:
    if length.line is not ring.line:
        return 0.0
    near = ring.first - length.last if length.last <= ring.first else length.first - ring.last
    return FITS if near <= 0 else FITS / 2 if near <= _BREATH else 0.0
