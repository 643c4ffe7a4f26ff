"""Conditional logit over signs: the fit that facts and scores share."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np

Told = tuple[tuple[tuple[str, ...], bool], ...]
"""Candidates that compete with each other and with "none of them": the signs of each, and whether it is right."""
LEAST = 0.002
"""Weights below this say nothing and are left out."""


def fit(groups: Sequence[Told], known: Collection[str], penalty: float, places: int = 3) -> dict[str, float]:
    """Sign → weight in log-odds, "" what any candidate starts from; several right ones of a group share the chance.

    known: the signs that are weighed. penalty: L2. places: decimals kept.
    """
    from scipy.optimize import minimize
    from scipy.sparse import csr_matrix

    names = sorted(known)
    columns = {s: i for i, s in enumerate(names)}
    rows = [(n, signs, right) for n, told in enumerate(groups) for signs, right in told]
    if not rows:
        return {}
    at = [(i, columns[s]) for i, (_, signs, _) in enumerate(rows) for s in signs if s in columns]
    shape = (len(rows), len(names))
    x = csr_matrix((np.ones(len(at)), tuple(zip(*at, strict=True))), shape=shape) if at else csr_matrix(shape)
    owners = np.unique([n for n, _, _ in rows], return_inverse=True)[1]
    right = np.array([r for _, _, r in rows])
    held = np.bincount(owners, right) > 0

    def loss(w: Any) -> tuple[float, Any]:
        odds = x @ w[:-1] + w[-1]
        top = np.maximum(0.0, np.full(len(held), -np.inf))
        np.maximum.at(top, owners, odds)
        e, none = np.exp(odds - top[owners]), np.exp(-top)
        total = none + np.bincount(owners, e)
        mine = np.where(held, np.bincount(owners, e * right), none)
        slope = e / total[owners] - np.where(held[owners], e * right / np.maximum(mine[owners], 1e-300), 0.0)
        value = float((np.log(total) - np.log(np.maximum(mine, 1e-300))).sum() + 0.5 * penalty * (w[:-1] @ w[:-1]))
        return value, np.append(x.T @ slope + penalty * w[:-1], slope.sum())

    w = minimize(loss, np.zeros(len(names) + 1), jac=True, method="L-BFGS-B", options={"maxiter": 200}).x
    table = {name: round(float(w[i]), places) for name, i in columns.items() if abs(w[i]) >= LEAST}
    return {**table, "": round(float(w[-1]), places)}
