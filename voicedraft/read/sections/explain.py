"""Why a passage has its section: the share of each reason in the log-odds, and the nearest annotated sentences."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from voicedraft.read.sections import surface as surface_of
from voicedraft.read.sections.features import names_of_third
from voicedraft.read.sections.labels import LABEL_ROWS, LABELS, PHASE_ROWS, TOPIC_ROWS, Floats
from voicedraft.read.sections.surface import Sight
from voicedraft.read.sections.weights import Near, SectionWeights
from voicedraft.read.sentences import Sentence
from voicedraft.types import Evidence

KEPT = 6
"""Reasons kept for a passage."""
NEAREST = 2
"""Annotated sentences shown beside it."""
LEAST = 0.05
"""A reason under this many log-odds is not worth telling."""


@lru_cache(maxsize=1)
def _groups() -> tuple[tuple[tuple[str, str], ...], Floats, dict[int, int]]:
    """(kind and detail of each group, (columns, groups) ones, surface column → its group)."""
    at: dict[tuple[str, str], int] = {}
    index = []
    seen: dict[int, int] = {}
    for kind, detail in names_of_third():
        name = (kind, _told(kind, detail))
        index.append(at.setdefault(name, len(at)))
    base = next(i for i, (_, detail) in enumerate(names_of_third()) if detail == surface_of.NAMES[0])
    for column in range(len(surface_of.NAMES)):
        seen[column] = index[base + column]
    rows = np.zeros((len(index), len(at)))
    rows[np.arange(len(index)), index] = 1.0
    return tuple(at), rows, seen


def _told(kind: str, detail: str) -> str:
    """One group for all scores of a view, or of a part of the neighbourhood; else the column itself."""
    if kind == "place":
        return detail.rsplit(" ", 1)[0] if detail[-1:].isdigit() else detail
    head = detail.split(":")[0]
    told = {
        "sentence": "the sentence's meaning", "context": "the meaning of the sentences around it",
        "surface": "its cues together", "words": "its words",
        "annotated": "the annotated sentences most like it", "second pass": "the first walk over the session",
    }
    return told.get(head, detail if kind in ("cue", "lexicon", "grammar") else head)


def directions(weights: SectionWeights) -> Floats:
    """(features, labels) mean weights of each label over its states."""
    last = weights.chains[-1]
    states = last.topic @ TOPIC_ROWS.T + last.phase @ PHASE_ROWS.T
    result: Floats = states @ (LABEL_ROWS / LABEL_ROWS.sum(axis=0))
    return result


def explain(
    features: Floats, chances: Floats, chosen: int, direction: Floats, sentence: Sentence, sights: tuple[Sight, ...],
) -> tuple[Evidence, ...]:
    """Reasons for label `chosen` of one sentence against the likeliest other, weightiest first.

    features: (columns,) of the sentence; chances: (labels,); direction: as `directions` gives it.
    """
    others = [i for i in np.argsort(-chances) if LABELS[i] != LABELS[chosen]]
    kinds, group_rows, column_group = _groups()
    shares = (features * (direction[:, chosen] - direction[:, others[0]])) @ group_rows
    where: dict[int, Sight] = {}
    for sight in sights:
        where.setdefault(column_group[sight.column], sight)
    out: list[Evidence] = []
    for g in np.argsort(-np.abs(shares)):
        kind, detail = kinds[g]
        if len(out) == KEPT or abs(shares[g]) < LEAST:
            break
        if detail == "always":
            continue
        first, last = sentence.first, sentence.last
        if g in where:
            first, last = sentence.word_at(where[g].first), sentence.word_at(max(0, where[g].last - 1)) + 1
        out.append(Evidence(kind, detail, round(float(shares[g]), 2), first, last))
    return tuple(out)


def nearest(like: Floats, near: Near) -> list[tuple[tuple[float, str, str], ...]]:
    """For each row of likeness, (likeness, annotated label, annotated sentence) of the nearest annotated ones."""
    out = []
    for row in like:
        best = np.argpartition(row, -NEAREST)[-NEAREST:]
        best = best[np.argsort(-row[best])]
        out.append(tuple((float(row[i]), near.labels[i], near.texts[i]) for i in best))
    return out
