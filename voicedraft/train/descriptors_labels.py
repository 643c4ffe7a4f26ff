"""What the tagger and the classifiers are to answer for an annotated session."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from voicedraft.read.descriptors.context import Mention, mention_key
from voicedraft.read.descriptors.cues import Cue
from voicedraft.read.descriptors.merge import related
from voicedraft.read.descriptors.places import PLACES
from voicedraft.read.descriptors.terms import key
from voicedraft.read.descriptors.tokens import Tokens
from voicedraft.train.descriptors_align import HOME, Aligned
from voicedraft.types import INTENSITIES

Ints = npt.NDArray[np.int64]
Doubles = npt.NDArray[np.float64]

STATUS = ("none", "present", "fading", "gone", "absent")
_SMOKE = frozenset({"prelight", "first_third", "second_third", "final_third", "palate", "burn", "verdict"})


def tag_labels(gold: dict[str, Any], row: Tokens, spans: Sequence[Aligned]) -> tuple[Ints, Doubles]:
    """(label, weight) of each token: 0 outside, 1 beginning, 2 inside.

    Annotated spans count in full. A listed flavour word elsewhere is a flavour too, perhaps of another cigar; it
    counts less, and an ambiguous one less still.
    """
    labels = np.zeros(len(row.rows), np.int64)
    weights = np.ones(len(row.rows))
    for (begin, end), active in zip(row.bounds, row.active(), strict=True):
        weights[begin:end] = float(active)
    for span in spans:
        labels[span.first] = 1
        labels[span.first + 1 : span.last] = 2
    keys = {key(d["term"]) for d in gold["descriptors"]}
    for match in dict.fromkeys(mark[0] for mark in row.lexical if mark is not None):
        part = slice(match.first, match.last)
        if labels[part].any():
            continue
        passage = row.passage(match.first)
        smoke = passage is not None and passage.section in _SMOKE
        known = mention_key(row, match.first, match.last) in keys
        if not known and (match.form.term.ambiguous or match.form.kind == "adjective"):
            weights[part] = 0.5
        elif smoke:
            labels[part] = 2
            labels[match.first] = 1
            weights[part] = 0.5 if known else 0.3
        else:
            weights[part] = 0.0
    return labels, weights


@dataclass(frozen=True, slots=True)
class MentionLabels:
    """Parallel to the mentions. `status`: index into STATUS. `intensity`, `place`: index, or -1 where not asked.

    `gold`: index of the annotated descriptor, or -1. `weight`: 0 for a mention that teaches nothing.
    """

    status: Ints
    intensity: Ints
    place: Ints
    gold: Ints
    weight: Doubles


def mention_labels(
    gold: dict[str, Any], row: Tokens, mentions: Sequence[Mention], spans: Sequence[Aligned],
    cues: Sequence[Sequence[Cue]],
) -> MentionLabels:
    """An annotated mention says what its descriptor says; another mention of the same in the same stage says it
    again, at less weight; all others are no entry."""
    n = len(mentions)
    out = MentionLabels(np.zeros(n, np.int64), np.full(n, -1), np.full(n, -1), np.full(n, -1), np.ones(n))
    entries = gold["descriptors"]
    for span in spans:
        k = _overlap(mentions, span)
        if k is not None and (out.gold[k] < 0 or HOME[entries[span.index]["stage"]] == _stage(row, mentions[k])):
            _mark(out, k, entries[span.index], span.index)
    for k, mention in enumerate(mentions):
        if out.gold[k] < 0:
            _guess(out, k, mention, row, entries)
            if out.status[k] == 0 and _withdrawn(row, mentions, k, cues):
                out.weight[k] = 0.0
    return out


def _overlap(mentions: Sequence[Mention], span: Aligned) -> int | None:
    shared = [(min(m.last, span.last) - max(m.first, span.first), -k) for k, m in enumerate(mentions)]
    best = max(shared, default=(0, 0))
    return -best[1] if best[0] > 0 else None


def _mark(out: MentionLabels, k: int, entry: dict[str, Any], index: int) -> None:
    out.status[k] = STATUS.index(entry["status"])
    out.gold[k] = index
    out.weight[k] = 0.5 if entry.get("optional") else 1.0
    if entry.get("intensity"):
        out.intensity[k] = INTENSITIES.index(entry["intensity"])
    if entry["stage"] in PLACES:
        out.place[k] = PLACES.index(entry["stage"])


def _stage(row: Tokens, mention: Mention) -> str | None:
    passage = row.passage(mention.first)
    return passage.stage if passage else None


def _guess(out: MentionLabels, k: int, mention: Mention, row: Tokens, entries: Sequence[dict[str, Any]]) -> None:
    stage = _stage(row, mention)
    same = [d for d in entries if HOME[d["stage"]] == stage and related(key(d["term"]), mention.key)]
    if not same:
        return
    passage = row.passage(mention.first)
    if stage == "prelight" or (passage and passage.section in ("verdict", "value", "pairings")):
        out.weight[k] = 0.0
    elif stage == "after":
        out.weight[k] = 0.5
    else:
        out.weight[k] = 0.3
        out.status[k] = STATUS.index(same[0]["status"])


def _withdrawn(row: Tokens, mentions: Sequence[Mention], k: int, cues: Sequence[Sequence[Cue]]) -> bool:
    """Whether a later sentence takes back the words of mention `k`: then it reads like an entry and is none."""
    return any(
        related(later.key, mentions[k].key)
        and any(c.kind == "corrected" for c in cues[row.rows[later.first].sentence])
        for later in mentions[k + 1 :]
    )
