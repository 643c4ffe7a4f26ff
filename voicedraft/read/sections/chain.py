"""The chain over the whole session: forward and backward passes of a linear-chain conditional random field.

Lafferty, McCallum & Pereira 2001 (Conditional Random Fields); the scaled recursion is that of Rabiner 1989 (A Tutorial
on Hidden Markov Models, section V.A).
"""

from __future__ import annotations

import numpy as np

from voicedraft.read.sections.labels import LABEL_ROWS, PHASE_ROWS, TOPIC_ROWS, Floats


def moves(topic: Floats, phase: Floats) -> Floats:
    """(kinds, states, states) log weights of a move, from those between topics and those between phases.

    The kinds are those of `voicedraft.read.sections.place`.
    """
    return np.stack([TOPIC_ROWS @ t @ TOPIC_ROWS.T + PHASE_ROWS @ p @ PHASE_ROWS.T for t, p in zip(topic, phase,
                                                                                               strict=True)])


def posteriors(emissions: Floats, move: Floats, start: Floats, kinds: tuple[int, ...]) -> Floats:
    """(sentences, states) probability of each state given the whole session.

    emissions: (sentences, states) log weights; start: (states,) log weights of the first state.
    """
    n = len(emissions)
    e = np.exp(emissions - emissions.max(axis=1, keepdims=True))
    m = np.exp(move)
    forward = np.zeros_like(e)
    backward = np.ones_like(e)
    row = e[0] * np.exp(start)
    forward[0] = row / row.sum()
    for i in range(1, n):
        row = (forward[i - 1] @ m[kinds[i]]) * e[i]
        forward[i] = row / row.sum()
    for i in range(n - 2, -1, -1):
        row = m[kinds[i + 1]] @ (e[i + 1] * backward[i + 1])
        backward[i] = row / row.sum()
    both = forward * backward
    result: Floats = both / both.sum(axis=1, keepdims=True)
    return result


def label_odds(states: Floats) -> Floats:
    """(sentences, labels) probability of each section and stage."""
    result: Floats = states @ LABEL_ROWS
    return result
