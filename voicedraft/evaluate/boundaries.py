"""WindowDiff and Pk: how far the section boundaries read are from those of the gold.

Pk: Beeferman, Berger & Lafferty 1999. WindowDiff: Pevzner & Hearst 2002, with k half the mean segment length of the
reference. Both are errors: 0 is perfect. Computed here in linear time, and checked against nltk in the tests.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np


def boundaries(labels: Sequence[str]) -> list[int]:
    """1 at each position after which the label changes, else 0; one shorter than `labels`."""
    return [int(a != b) for a, b in itertools.pairwise(labels)]


def window(reference: Sequence[int]) -> int:
    """Half the mean segment length of the reference, at least 2."""
    return max(2, round(len(reference) / (sum(reference) + 1) / 2))


def window_diff(reference: Sequence[int], hypothesis: Sequence[int], k: int) -> float:
    """Share of windows of `k` positions in which the number of boundaries differs.

    Raises ValueError where the lengths differ or `k` is longer than the text.
    """
    r, h = _sums(reference, hypothesis, k)
    return float(np.mean(r != h))


def pk(reference: Sequence[int], hypothesis: Sequence[int], k: int) -> float:
    """Share of windows of `k` positions in which one has a boundary and the other none. Raises as `window_diff`."""
    r, h = _sums(reference, hypothesis, k)
    return float(np.mean((r > 0) != (h > 0)))


def _sums(reference: Sequence[int], hypothesis: Sequence[int], k: int) -> tuple[np.ndarray, np.ndarray]:
    if len(reference) != len(hypothesis):
        raise ValueError(f"segmentations of different lengths: {len(reference)} and {len(hypothesis)}")
    if not 0 < k <= len(reference):
        raise ValueError(f"window {k} does not fit a text of {len(reference)}")
    both = [np.concatenate([[0], np.cumsum(np.asarray(x))]) for x in (reference, hypothesis)]
    return both[0][k:] - both[0][:-k], both[1][k:] - both[1][:-k]


def boundary_figures(gold: Sequence[str], read: Sequence[str]) -> dict[str, float]:
    """WindowDiff and Pk of two label sequences of the same length; 0 where there is no boundary to place."""
    reference, hypothesis = boundaries(gold), boundaries(read)
    k = window(reference) if reference else 0
    if len(reference) < k or not reference:
        return {"windowdiff": 0.0, "pk": 0.0}
    return {"windowdiff": round(window_diff(reference, hypothesis, k), 4), "pk": round(pk(reference, hypothesis, k), 4)}
