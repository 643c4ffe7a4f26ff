"""Fits the first pass: ridge regression of topics and phases on each dense view, and word log-odds.

Sums over sessions are kept apart, so that leaving sessions out is a subtraction.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from voicedraft.read.sections.features import Seen, views
from voicedraft.read.sections.labels import PHASES, TOPICS, Floats, topic_of
from voicedraft.types import Section, Stage

Label = tuple[Section, Stage | None]
RIDGE = {"sentence": 10.0, "context": 80.0, "surface": 30.0}
PRIOR = 4.0
"""Occurrences that a word must outweigh before it says anything."""


@dataclass(frozen=True, eq=False)
class Sums:
    """Of one session, for each dense view: (X'X, X'Y) over all sentences and over those with a stage; word counts."""

    dense: Mapping[str, tuple[Floats, Floats, Floats, Floats]]
    counts: Mapping[str, Floats]


def targets(labels: Sequence[Label]) -> tuple[Floats, Floats]:
    """(n, topics) and (n, phases) ones; a sentence without stage has no phase."""
    topic, phase = np.zeros((len(labels), len(TOPICS))), np.zeros((len(labels), len(PHASES)))
    for i, (section, stage) in enumerate(labels):
        topic[i, topic_of(section)] = 1
        if stage is not None:
            phase[i, PHASES.index(stage)] = 1
    return topic, phase


def sums(seen: Seen, labels: Sequence[Label]) -> Sums:
    """The sums of one session."""
    topic, phase = targets(labels)
    staged = phase.sum(axis=1) > 0
    dense = {}
    for name, x in views(seen).items():
        held = x[staged]
        dense[name] = (x.T @ x, x.T @ topic, held.T @ held, held.T @ phase[staged])
    counts: dict[str, Floats] = {}
    both = np.hstack([topic, phase])
    for row, grams in zip(both, seen.surface.grams, strict=True):
        for gram in grams:
            counts[gram] = counts.get(gram, 0) + row
    return Sums(dense, counts)


def dense_maps(all_sums: Collection[Sums]) -> dict[str, Floats]:
    """view → (columns, OUT): ridge solutions for topics and phases side by side."""
    from scipy.linalg import solve

    out = {}
    for name, ridge in RIDGE.items():
        xx, xy, hh, hp = (np.asarray(sum(s.dense[name][i] for s in all_sums)) for i in range(4))
        penalty = np.diag(np.array([ridge] * (len(xx) - 1) + [1e-3]))
        out[name] = np.hstack([solve(xx + penalty, xy, assume_a="pos"), solve(hh + penalty, hp, assume_a="pos")])
    return out


def word_table(all_sums: Collection[Sums]) -> tuple[dict[str, int], Floats]:
    """Words said in at least two sessions, and their log-odds (words, OUT) against each topic's and phase's share."""
    sessions: Counter[str] = Counter()
    for s in all_sums:
        sessions.update(s.counts.keys())
    words = sorted(w for w, n in sessions.items() if n >= 2)
    counts = np.zeros((len(words), len(TOPICS) + len(PHASES)))
    rows = {w: i for i, w in enumerate(words)}
    for s in all_sums:
        for word, row in s.counts.items():
            if word in rows:
                counts[rows[word]] += row
    halves = []
    for half in (counts[:, : len(TOPICS)], counts[:, len(TOPICS) :]):
        share = (half.sum(axis=0) + 1) / (half.sum() + half.shape[1])
        halves.append(np.log((half + PRIOR * share) / (half.sum(axis=1, keepdims=True) + PRIOR) / share))
    return rows, np.hstack(halves)
