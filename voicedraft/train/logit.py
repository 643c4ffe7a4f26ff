"""Conditional logit over signs: the fit that facts, scores and strength share."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]
Told = tuple[tuple[tuple[str, ...], bool], ...]
"""Candidates that compete with each other and with "none of them": the signs of each, and whether it is right."""
LEAST = 0.002
"""Weights below this say nothing and are left out."""


def known_signs(sessions: Iterable[Iterable[Iterable[str]]], least: int) -> list[str]:
    """The signs seen in at least so many sessions, each given as the signs of its candidates, in order of letters."""
    counts = Counter(s for session in sessions for s in {s for signs in session for s in signs})
    return sorted(s for s, n in counts.items() if n >= least)


def fit(groups: Sequence[Told], known: Collection[str], penalty: float, places: int = 3) -> dict[str, float]:
    """Sign → weight in log-odds, "" what any candidate starts from; several right ones of a group share the chance.

    known: the signs that are weighed. penalty: L2. places: decimals kept.
    """
    names = sorted(known)
    rows = [(n, signs, right) for n, told in enumerate(groups) for signs, right in told]
    if not rows:
        return {}
    return _table(names, _solve(seen(names, [signs for _, signs, _ in rows]), rows, penalty), places)


def fit_with_vectors(
    groups: Sequence[Told], known: Collection[str], penalty: float, vectors: Floats, vector_penalty: float
) -> tuple[dict[str, float], Floats | None]:
    """The same where each candidate has a vector too, and the weights along it; None where there is no candidate.

    vectors: (candidates, width), in order of the groups.
    """
    from scipy.sparse import csr_matrix, hstack

    names = sorted(known)
    rows = [(n, signs, right) for n, told in enumerate(groups) for signs, right in told]
    if not rows:
        return {}, None
    scale = (penalty / vector_penalty) ** 0.5
    signs = seen(names, [signs for _, signs, _ in rows])
    w = _solve(hstack([signs, csr_matrix(vectors.astype(np.float64) * scale)]).tocsr(), rows, penalty)
    along: Floats = (w[len(names) : -1] * scale).astype(np.float32)
    return _table(names, np.append(w[: len(names)], w[-1]), 3), along


_Rows = Sequence[tuple[int, tuple[str, ...], bool]]
"""Group, signs, right or not, of each candidate."""


def _table(names: Sequence[str], w: Any, places: int) -> dict[str, float]:
    table = {name: round(float(w[i]), places) for i, name in enumerate(names) if abs(w[i]) >= LEAST}
    return {**table, "": round(float(w[-1]), places)}


def seen(names: Sequence[str], rows: Sequence[Iterable[str]]) -> Any:
    """(rows, names) sparse: 1 where a row has the sign."""
    from scipy.sparse import csr_matrix

    columns = {s: i for i, s in enumerate(names)}
    at = [(i, columns[s]) for i, signs in enumerate(rows) for s in signs if s in columns]
    shape = (len(rows), len(names))
    return csr_matrix((np.ones(len(at)), tuple(zip(*at, strict=True))), shape=shape) if at else csr_matrix(shape)


def _solve(x: Any, rows: _Rows, penalty: float) -> Any:
    """A weight for each column, and last what any candidate starts from."""
    from scipy.optimize import minimize

    owners = np.unique([n for n, _, _ in rows], return_inverse=True)[1]
    right = np.array([r for _, _, r in rows])
    held = np.bincount(owners, right) > 0

    def loss(w: Any) -> tuple[float, Any]:
        odds = x @ w[:-1] + w[-1]
        top = np.zeros(len(held))
        np.maximum.at(top, owners, odds)
        e, none = np.exp(odds - top[owners]), np.exp(-top)
        total = none + np.bincount(owners, e)
        mine = np.where(held, np.bincount(owners, e * right), none)
        slope = e / total[owners] - np.where(held[owners], e * right / np.maximum(mine[owners], 1e-300), 0.0)
        value = float((np.log(total) - np.log(np.maximum(mine, 1e-300))).sum() + 0.5 * penalty * (w[:-1] @ w[:-1]))
        return value, np.append(x.T @ slope + penalty * w[:-1], slope.sum())

    return minimize(loss, np.zeros(x.shape[1] + 1), jac=True, method="L-BFGS-B", options={"maxiter": 200}).x
