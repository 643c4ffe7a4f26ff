"""The sections' chain fitted on a few corrected sessions, held near the shipped weights.

Conditional log-likelihood of the corrected sections and stages (Lafferty, McCallum & Pereira 2001) with a penalty on
the distance from the shipped weights, as in maximum a posteriori adaptation with the shipped weights as the middle of
the prior (Chelba & Acero 2004). Minimised by limited-memory BFGS (Nocedal & Wright 2006, algorithms 7.4 and 7.5), so
that nothing beyond numpy is needed where the program runs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from voicedraft.read.sections.chain import moves
from voicedraft.read.sections.labels import PHASE_ROWS, TOPIC_ROWS, Floats

MEMORY = 8
"""Steps that the quasi-Newton method remembers (its authors advise 3 to 20)."""
SUFFICIENT, SHRINK, TRIES = 1e-4, 0.5, 25
"""Backtracking line search: share of the expected decrease asked for, factor a try, tries."""
ENOUGH = 1e-5
"""Relative decrease at which the fit has settled."""

Values = tuple[Floats, ...]
"""topic (d, topics), phase (d, phases), topic moves, phase moves, topic start, phase start, as in SectionWeights."""


@dataclass(frozen=True, eq=False)
class Lesson:
    """One session: features (n, d), kind of the move into each sentence, states that agree with its label
    (n, states)."""

    features: Floats
    kinds: tuple[int, ...]
    agree: Floats


def _walks(e: Floats, move: Floats, start: Floats, kinds: Sequence[int]) -> tuple[float, Floats, Floats]:
    """(log Z, states (n, states), expected moves (kinds, states, states)) of weights e (n, states)."""
    n = len(e)
    forward, backward, scale = np.zeros_like(e), np.ones_like(e), np.ones(n)
    for i in range(n):
        row = e[0] * start if i == 0 else (forward[i - 1] @ move[kinds[i]]) * e[i]
        scale[i] = row.sum()
        forward[i] = row / scale[i]
    for i in range(n - 2, -1, -1):
        backward[i] = move[kinds[i + 1]] @ (e[i + 1] * backward[i + 1]) / scale[i + 1]
    steps = np.zeros_like(move)
    for i in range(1, n):
        steps[kinds[i]] += np.outer(forward[i - 1], e[i] * backward[i] / scale[i])
    return float(np.log(scale).sum()), forward * backward, steps * move


def _loss(lessons: Sequence[Lesson], values: Values) -> tuple[float, list[Floats]]:
    """Negative log-likelihood of the labels, and its gradient for each of the values."""
    topic, phase, topic_moves, phase_moves, topic_start, phase_start = values
    move = np.exp(moves(topic_moves, phase_moves))
    start = np.exp(TOPIC_ROWS @ topic_start + PHASE_ROWS @ phase_start)
    total, gradient = 0.0, [np.zeros_like(v) for v in values]
    for lesson in lessons:
        logs = lesson.features @ (topic @ TOPIC_ROWS.T + phase @ PHASE_ROWS.T)
        free = np.exp(logs - logs.max(axis=1, keepdims=True))
        z, states, steps = _walks(free, move, start, lesson.kinds)
        held_z, held_states, held_steps = _walks(free * lesson.agree, move, start, lesson.kinds)
        total += z - held_z
        over, over_steps = states - held_states, steps - held_steps
        by_state = lesson.features.T @ over
        gradient[0] += by_state @ TOPIC_ROWS
        gradient[1] += by_state @ PHASE_ROWS
        gradient[2] += np.stack([TOPIC_ROWS.T @ s @ TOPIC_ROWS for s in over_steps])
        gradient[3] += np.stack([PHASE_ROWS.T @ s @ PHASE_ROWS for s in over_steps])
        gradient[4] += TOPIC_ROWS.T @ over[0]
        gradient[5] += PHASE_ROWS.T @ over[0]
    return total, gradient


def fit(lessons: Sequence[Lesson], prior: Values, ridge: float, move_ridge: float, rounds: int) -> Values:
    """Values fitted on the lessons. ridge, move_ridge: penalties on leaving `prior`, for features and for moves."""
    shapes = [v.shape for v in prior]
    middle = np.concatenate([v.ravel() for v in prior])
    penalty = np.concatenate([np.full(v.size, ridge if i < 2 else move_ridge) for i, v in enumerate(prior)])

    def split(flat: Floats) -> Values:
        out, at = [], 0
        for shape in shapes:
            size = int(np.prod(shape))
            out.append(flat[at : at + size].reshape(shape))
            at += size
        return tuple(out)

    def objective(flat: Floats) -> tuple[float, Floats]:
        value, gradient = _loss(lessons, split(flat))
        off = flat - middle
        return (value + 0.5 * float((penalty * off * off).sum()),
                np.concatenate([g.ravel() for g in gradient]) + penalty * off)

    return split(_minimise(objective, middle.copy(), rounds))


def _minimise(objective: Callable[[Floats], tuple[float, Floats]], at: Floats, rounds: int) -> Floats:
    """The point that limited-memory BFGS reaches from `at`."""
    value, gradient = objective(at)
    past: list[tuple[Floats, Floats]] = []
    for _ in range(rounds):
        direction = _direction(gradient, past)
        slope = float(direction @ gradient)
        length = 1.0 if past else 1.0 / max(float(np.abs(gradient).sum()), 1.0)
        for _ in range(TRIES):
            new = at + length * direction
            new_value, new_gradient = objective(new)
            if new_value <= value + SUFFICIENT * length * slope:
                break
            length *= SHRINK
        else:
            return at
        past = [*past, (new - at, new_gradient - gradient)][-MEMORY:]
        settled = value - new_value <= ENOUGH * max(abs(value), 1.0)
        at, value, gradient = new, new_value, new_gradient
        if settled:
            return at
    return at


def _direction(gradient: Floats, past: Sequence[tuple[Floats, Floats]]) -> Floats:
    """Where to go next: the two-loop recursion over the remembered steps."""
    q = gradient.copy()
    taken: list[tuple[float, float, Floats, Floats]] = []
    for s, y in reversed(past):
        rho = 1.0 / max(float(y @ s), 1e-12)
        a = rho * float(s @ q)
        q -= a * y
        taken.append((a, rho, s, y))
    if past:
        s, y = past[-1]
        q *= float(s @ y) / max(float(y @ y), 1e-12)
    for a, rho, s, y in reversed(taken):
        q += (a - rho * float(y @ q)) * s
    return -q
