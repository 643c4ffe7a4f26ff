"""How far a stated confidence can be trusted: reliability table, expected calibration error, temperature, threshold.

Expected calibration error over equal bins: Naeini, Cooper & Hauskrecht 2015 (Obtaining Well Calibrated Probabilities
Using Bayesian Binning), used as in Guo et al. 2017 (On Calibration of Modern Neural Networks), equation 3.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Bin:
    """Confidences in `(low, high]`: their weight, their mean, and the share that was right (weights in words)."""

    low: float
    high: float
    weight: float
    mean: float
    right: float


def reliability(
    confidences: Sequence[float], right: Sequence[bool], weights: Sequence[float] | None = None, bins: int = 10,
) -> list[Bin]:
    """The non-empty ones of `bins` equal bins over (0, 1]. Raises ValueError where the lengths differ."""
    weights = [1.0] * len(confidences) if weights is None else weights
    rows: list[list[tuple[float, bool, float]]] = [[] for _ in range(bins)]
    for c, ok, w in zip(confidences, right, weights, strict=True):
        number = max(0, min(bins - 1, -int(-c * bins // 1) - 1))
        rows[number].append((c, ok, w))
    out = []
    for n, row in enumerate(rows):
        total = sum(w for _, _, w in row)
        if total > 0:
            mean, share = sum(c * w for c, _, w in row) / total, sum(w for _, ok, w in row if ok) / total
            out.append(Bin(n / bins, (n + 1) / bins, total, mean, share))
    return out


def expected_error(table: Sequence[Bin]) -> float:
    """Expected calibration error: the weighted mean of |share right - mean confidence|; 0 for an empty table."""
    total = sum(b.weight for b in table)
    return sum(b.weight * abs(b.right - b.mean) for b in table) / total if total else 0.0


def threshold(confidences: Sequence[float], right: Sequence[bool]) -> float:
    """The confidence that best parts right from wrong: the most of (wrong below) + (right not below), as shares.

    This is the index of Youden 1950 (Index for Rating Diagnostic Tests). 0.5 where all are right or all are wrong.
    """
    n_right = sum(right)
    n_wrong = len(right) - n_right
    if not n_right or not n_wrong:
        return 0.5
    best, at = -1.0, 0.5
    below_right = below_wrong = 0
    for c, ok in sorted(zip(confidences, right, strict=True)):
        index = below_wrong / n_wrong - below_right / n_right
        if index > best:
            best, at = index, c
        below_right, below_wrong = below_right + ok, below_wrong + (not ok)
    return at
