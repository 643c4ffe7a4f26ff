"""Fits the first pass: ridge regression of topics and phases on each dense view, and word log-odds.

Sums over parts of the sessions are made once, so that leaving a part out is a subtraction.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence

import numpy as np

from voicedraft.read.sections.features import Seen, views
from voicedraft.read.sections.labels import PHASES, TOPICS, Floats, topic_of
from voicedraft.types import Section, Stage

Label = tuple[Section, Stage | None]
RIDGE = {"sentence": 10.0, "context": 80.0, "surface": 30.0}
PRIOR = 4.0
"""Occurrences that a word must outweigh before it says anything."""


Sums = Mapping[str, tuple[Floats, Floats, Floats, Floats]]
"""For each dense view: (X'X, X'Y) over all sentences, and over those with a stage. About 50 MB."""


def targets(labels: Sequence[Label]) -> tuple[Floats, Floats]:
    """(n, topics) and (n, phases) ones; a sentence without stage has no phase."""
    topic, phase = np.zeros((len(labels), len(TOPICS))), np.zeros((len(labels), len(PHASES)))
    for i, (section, stage) in enumerate(labels):
        topic[i, topic_of(section)] = 1
        if stage is not None:
            phase[i, PHASES.index(stage)] = 1
    return topic, phase


def sums(sessions: Iterable[tuple[Seen, Sequence[Label]]]) -> Sums:
    """The sums over the sessions."""
    out: dict[str, tuple[Floats, Floats, Floats, Floats]] = {}
    for seen, labels in sessions:
        topic, phase = targets(labels)
        staged = phase.sum(axis=1) > 0
        for name, x in views(seen).items():
            held = x[staged]
            one = (x.T @ x, x.T @ topic, held.T @ held, held.T @ phase[staged])
            if name in out:
                for whole, more in zip(out[name], one, strict=True):
                    whole += more
            else:
                out[name] = one
    return out


def added(parts: Sequence[Sums]) -> Sums:
    """The sums over all parts."""
    return {name: _each(lambda *same: np.sum(same, axis=0), *(p[name] for p in parts)) for name in RIDGE}


def without(whole: Sums, part: Sums) -> Sums:
    """The sums over all but a part."""
    return {name: _each(np.subtract, whole[name], part[name]) for name in RIDGE}


def _each(
    how: Callable[..., Floats], *parts: tuple[Floats, Floats, Floats, Floats]
) -> tuple[Floats, Floats, Floats, Floats]:
    xx, xy, hh, hp = (how(*same) for same in zip(*parts, strict=True))
    return xx, xy, hh, hp


def counts(seen: Seen, labels: Sequence[Label]) -> dict[str, Floats]:
    """word → (OUT,) how often it was said of each topic and phase in one session."""
    out: dict[str, Floats] = {}
    for row, grams in zip(np.hstack(targets(labels)), seen.surface.grams, strict=True):
        for gram in grams:
            out[gram] = out.get(gram, 0) + row
    return out


def dense_maps(told: Sums) -> dict[str, Floats]:
    """view → (columns, OUT): ridge solutions for topics and phases side by side."""
    from scipy.linalg import solve

    out = {}
    for name, ridge in RIDGE.items():
        xx, xy, hh, hp = told[name]
        penalty = np.diag(np.array([ridge] * (len(xx) - 1) + [1e-3]))
        out[name] = np.hstack([solve(xx + penalty, xy, assume_a="pos"), solve(hh + penalty, hp, assume_a="pos")])
    return out


def word_table(all_counts: Sequence[Mapping[str, Floats]]) -> tuple[dict[str, int], Floats]:
    """Words said in at least two sessions, and their log-odds (words, OUT) against each topic's and phase's share."""
    sessions: Counter[str] = Counter()
    for told in all_counts:
        sessions.update(told.keys())
    words = sorted(w for w, n in sessions.items() if n >= 2)
    table = np.zeros((len(words), len(TOPICS) + len(PHASES)))
    rows = {w: i for i, w in enumerate(words)}
    for told in all_counts:
        for word, row in told.items():
            if word in rows:
                table[rows[word]] += row
    halves = []
    for half in (table[:, : len(TOPICS)], table[:, len(TOPICS) :]):
        share = (half.sum(axis=0) + 1) / (half.sum() + half.shape[1])
        halves.append(np.log((half + PRIOR * share) / (half.sum(axis=1, keepdims=True) + PRIOR) / share))
    return rows, np.hstack(halves)
