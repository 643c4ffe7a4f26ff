"""Fits the chain: conditional log-likelihood with ridge penalty, by L-BFGS, from zero.

The phase of a sentence whose stage is null is not annotated; the likelihood sums over every phase that it may have.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from voicedraft.read.sections.chain import moves
from voicedraft.read.sections.labels import PHASE_ROWS, PHASES, TOPIC_ROWS, TOPICS, Floats
from voicedraft.read.sections.weights import Chain

T, P, KINDS = len(TOPICS), len(PHASES), 3


@dataclass(frozen=True, eq=False)
class Row:
    """One session: features (n, d), kind of the move into each sentence (n,), states that agree with it (n, states)."""

    features: Floats
    kinds: tuple[int, ...]
    agree: Floats


class _Batch:
    """All sessions side by side, twice: free, and held to the states that agree with the annotation."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self.lengths = [len(r.features) for r in rows]
        self.b, self.t = len(rows), max(self.lengths)
        self.x = np.concatenate([r.features for r in rows])
        self.valid = np.zeros((self.b, self.t), bool)
        self.kinds = np.zeros((self.b, self.t), int)
        for i, r in enumerate(rows):
            self.valid[i, : self.lengths[i]] = True
            self.kinds[i, : self.lengths[i]] = r.kinds
        self.agree = np.zeros((self.b, self.t, len(TOPIC_ROWS)))
        self.agree[self.valid] = np.concatenate([r.agree for r in rows])


def _expect(e: Floats, move: Floats, start: Floats, b: _Batch) -> tuple[Floats, Floats, Floats, Floats]:
    """(log Z, states, moves, first states) for free and held walks, stacked in the first axis: 2 * sessions."""
    m, s = np.exp(move), np.exp(start)
    valid, kinds = np.concatenate([b.valid] * 2), np.concatenate([b.kinds] * 2)
    of = [[np.flatnonzero(kinds[:, i] == kind) for kind in range(KINDS)] for i in range(b.t)]
    forward = np.zeros_like(e)
    scale = np.ones(e.shape[:2])
    for i in range(b.t):
        if i:
            back = forward[:, i - 1]
            row = _moved(back, m, of[i]) * e[:, i]
        else:
            row = e[:, 0] * s
        total = np.where(valid[:, i], row.sum(axis=1), 1.0)
        scale[:, i] = total
        forward[:, i] = row / total[:, None] * valid[:, i, None]
    backward = np.ones_like(e)
    for i in range(b.t - 2, -1, -1):
        z = e[:, i + 1] * backward[:, i + 1] / scale[:, i + 1, None]
        row = _moved(z, m.transpose(0, 2, 1), of[i + 1])
        backward[:, i] = np.where(valid[:, i + 1, None], row, 1.0)
    states = forward * backward
    sign = np.repeat([1.0, -1.0], b.b)[:, None, None]
    steps = np.zeros_like(move)
    right = e[:, 1:] * backward[:, 1:] / scale[:, 1:, None] * sign
    for kind in range(KINDS):
        take = valid[:, 1:] & (kinds[:, 1:] == kind)
        steps[kind] = (forward[:, :-1][take].T @ right[take]) * m[kind]
    return np.log(scale).sum(axis=1), states, steps, states[:, 0]


def _moved(rows: Floats, move: Floats, of: Sequence[np.ndarray]) -> Floats:
    """Each row times the matrix of its kind; `of[kind]` are its rows."""
    out = np.empty_like(rows)
    for kind, at in enumerate(of):
        if len(at):
            out[at] = rows[at] @ move[kind]
    return out


def fit(rows: Sequence[Row], ridge: float, move_ridge: float, rounds: int) -> Chain:
    """Fit the chain on sessions. ridge: penalty on feature weights; move_ridge: on moves; rounds: L-BFGS iterations."""
    from scipy.optimize import minimize

    batch = _Batch(rows)
    d = batch.x.shape[1]
    shapes = [(d, T), (d, P), (KINDS, T, T), (KINDS, P, P), (T,), (P,)]
    penalty = np.concatenate([np.full(d * (T + P), ridge), np.full(KINDS * (T * T + P * P) + T + P, move_ridge)])

    def parts(v: Floats) -> list[Floats]:
        out, at = [], 0
        for shape in shapes:
            n = int(np.prod(shape))
            out.append(v[at : at + n].reshape(shape))
            at += n
        return out

    def loss(v: Floats) -> tuple[float, Floats]:
        topic, phase, tm, pm, ts, ps = parts(v)
        logs = batch.x @ (topic @ TOPIC_ROWS.T + phase @ PHASE_ROWS.T)
        logs -= logs.max(axis=1, keepdims=True)
        free = np.zeros_like(batch.agree)
        free[batch.valid] = np.exp(logs)
        z, states, steps, first = _expect(np.concatenate([free, free * batch.agree]), moves(tm, pm),
                                          TOPIC_ROWS @ ts + PHASE_ROWS @ ps, batch)
        half = batch.b
        by_state = batch.x.T @ (states[:half] - states[half:])[batch.valid]
        begin = (first[:half] - first[half:]).sum(axis=0)
        gradient = np.concatenate([
            (by_state @ TOPIC_ROWS).ravel(), (by_state @ PHASE_ROWS).ravel(),
            np.stack([TOPIC_ROWS.T @ s @ TOPIC_ROWS for s in steps]).ravel(),
            np.stack([PHASE_ROWS.T @ s @ PHASE_ROWS for s in steps]).ravel(),
            TOPIC_ROWS.T @ begin, PHASE_ROWS.T @ begin,
        ])
        value = float(z[:half].sum() - z[half:].sum() + 0.5 * (penalty * v * v).sum())
        return value, gradient + penalty * v

    found = minimize(loss, np.zeros(len(penalty)), jac=True, method="L-BFGS-B", options={"maxiter": rounds})
    return Chain(*(p.copy() for p in parts(found.x)))
