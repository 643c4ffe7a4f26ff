"""What the encoder learns from: each gold session as plain arrays, in one file, so that no language model is needed
where it is fitted (an accelerator elsewhere, for instance)."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from voicedraft.read.vectors import overlapped
from voicedraft.weight_file import arrays_of, put, put_array

STATUS = ("none", "present", "fading", "gone", "absent")
LABELS, WANTED, ACTS = 17, 3, (4, 5)
"""How many things a number or name may be, a drink or food, and a sentence may tell of each act (`numbers`)."""
_NOTHING_YET = 0.5
"""What a listed flavour word that is no entry counts, as little as an optional entry."""
_ARRAYS = ("ids", "lengths", "takes", "extra", "topic", "phase", "tokens", "tags", "tag_weights", "mentions",
           "mention_weights", "named", "acts", "wanted", "wanted_weights")


@dataclass(frozen=True, eq=False)
class Material:
    """One session. `ids`: word pieces of all sentences in a row, `lengths`: (sentences,) how many each has.

    `extra`: (sentences, …) cues and place. `topic`, `phase`: (sentences,), -100 where not annotated. `tokens`: (tokens,
    3) sentence, first and end piece, the special first one counted; `tags`: 0 outside, 1 beginning, 2 inside a
    flavour's name. `mentions`: (mentions, 4) first and end token, status, intensity or -100. `named`: (numbers and
    names, 3) first and end token, index of `numbers.LABELS`; `acts`: (sentences, 2) indices of `numbers.ACTS`, -100
    where not known; `wanted`: (tokens,) 0, or 1 in a drink or food that is wanted with the cigar, 2 in one refused.
    """

    name: str
    ids: np.ndarray
    lengths: np.ndarray
    takes: np.ndarray
    extra: np.ndarray
    topic: np.ndarray
    phase: np.ndarray
    tokens: np.ndarray
    tags: np.ndarray
    tag_weights: np.ndarray
    mentions: np.ndarray
    mention_weights: np.ndarray
    named: np.ndarray
    acts: np.ndarray
    wanted: np.ndarray
    wanted_weights: np.ndarray


def material_of(gold: dict[str, Any]) -> Material:
    """Analyse one gold session. Sections are learned only from long ones: see `sections.LEAST_WORDS`."""
    from voicedraft.lexicon import load_lexicon
    from voicedraft.read.analysis import encoder
    from voicedraft.read.descriptors.reader import Tools
    from voicedraft.read.sections.labels import PHASES, topic_of
    from voicedraft.train import descriptors, sections

    kit = Tools(load_lexicon())
    session = descriptors.prepare_gold(gold, kit)
    row = session.row
    analysis = row.analysis
    long = sections.is_long(gold)
    looked_at = sections.prepare(session.name, gold, analysis)
    pieces = [encoder().pieces(s.text) for s in analysis.sentences]
    mentions, weights = _mentions(session)
    nothing = np.full(len(pieces), -100)
    told = _told(gold, analysis)
    return Material(
        name=session.name, ids=np.array([i for ids, _ in pieces for i in ids], np.int32),
        lengths=np.array([len(ids) for ids, _ in pieces], np.int32),
        takes=np.array([s.take for s in analysis.sentences], np.int32),
        extra=np.hstack([looked_at.seen.surface.rows, looked_at.seen.place.rows]).astype(np.float16),
        topic=np.array([topic_of(s) for s, _ in looked_at.labels]) if long else nothing,
        phase=np.array([PHASES.index(p) if p else -100 for _, p in looked_at.labels]) if long else nothing,
        tokens=tokens_of(analysis.docs, pieces), tags=session.tag_y,
        tag_weights=session.tag_w, mentions=np.array(mentions, np.int64).reshape(-1, 4),
        mention_weights=np.array(weights, np.float64), **told,
    )


def tokens_of(docs: Sequence[Any], pieces: Sequence[tuple[Sequence[int], Sequence[tuple[int, int]]]]) -> np.ndarray:
    """(tokens, 3) of `Material`, from grammar and word pieces of each sentence."""
    return np.array([
        (k, first + 1, last + 1) if last > first else (k, 1, 1)
        for k, (doc, (_, offsets)) in enumerate(zip(docs, pieces, strict=True))
        for first, last in overlapped(offsets, [(t.idx, t.idx + len(t.text)) for t in doc])
    ], np.int32).reshape(-1, 3)


def _told(gold: dict[str, Any], analysis: Any) -> dict[str, np.ndarray]:
    """Facts, marks, acts and pairings; made-up speakers, who teach flavours, have none annotated."""
    from voicedraft.lexicon import load_lexicon
    from voicedraft.train.encoder import numbers

    words, lexicon = sum(len(doc) for doc in analysis.docs), load_lexicon()
    if "facts" not in gold:
        return {
            "named": np.zeros((0, 3), np.int64), "acts": np.full((len(analysis.docs), len(numbers.ACTS)), -100),
            "wanted": np.zeros(words, np.int64), "wanted_weights": np.zeros(words),
        }
    wanted, counts = numbers.wanted_of(gold, analysis, lexicon)
    spans, acts = numbers.told_of(gold, analysis, lexicon)
    return {
        "named": numbers.in_tokens(spans, analysis.docs), "acts": acts, "wanted": wanted, "wanted_weights": counts,
    }


def _mentions(session: Any) -> tuple[list[tuple[int, int, int, int]], list[float]]:
    """The annotated flavours, and listed words that are none where entries can be."""
    from voicedraft.types import INTENSITIES

    row, entries = session.row, session.gold["descriptors"]
    taken = np.zeros(len(row.rows), bool)
    mentions, weights = [], []
    for span in session.spans:
        entry = entries[span.index]
        step = INTENSITIES.index(entry["intensity"]) if entry.get("intensity") else -100
        mentions.append((span.first, span.last, STATUS.index(entry["status"]), step))
        weights.append(_NOTHING_YET if entry.get("optional") else 1.0)
        taken[span.first : span.last] = True
    active = row.active()
    for match in dict.fromkeys(mark[0] for mark in row.lexical if mark is not None):
        if active[row.rows[match.first].sentence] and not taken[match.first : match.last].any():
            mentions.append((match.first, match.last, 0, -100))
            weights.append(_NOTHING_YET)
    return mentions, weights


def save(sessions: Sequence[Material], file: Path) -> None:
    """Write the sessions; equal sessions give equal bytes."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive:
        put(archive, "names.json", json.dumps([s.name for s in sessions]).encode())
        for n, session in enumerate(sessions):
            for name in _ARRAYS:
                put_array(archive, f"{n}_{name}", np.asarray(getattr(session, name)))


def load(file: Path) -> list[Material]:
    """Read the sessions."""
    with zipfile.ZipFile(file) as archive:
        names, arrays = json.loads(archive.read("names.json")), arrays_of(archive)
    return [Material(name, **{part: arrays[f"{n}_{part}"] for part in _ARRAYS}) for n, name in enumerate(names)]
