"""Fits what tells of touch-ups and relights, sentence by sentence: a part of `python -m voicedraft.train facts`.

Gold sessions give only how many there were in all. Where the rules add up to that, what they read of each sentence is
taken as what it tells. Sentences written for fitting (`data/acts.txt`, `data/facts-acts.md`) say it themselves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from voicedraft.lexicon import Lexicon
from voicedraft.read.facts.context import Line, Session, session
from voicedraft.read.facts.counted import FACTS, countable, ruled, tallied
from voicedraft.read.facts.named import named
from voicedraft.read.facts.tally import Told
from voicedraft.read.facts.telling import KINDS, SKIPPED, act_signs
from voicedraft.read.sign_weights import Floats
from voicedraft.read.vectors import DIMENSIONS
from voicedraft.train import logit
from voicedraft.train.passages import FOLDER, Short
from voicedraft.types import Section, Stage

PENALTY, VECTOR_PENALTY = 2.0, 0.1
"""L2 penalties of the signs and of the vectors, chosen by folds over speakers."""
KNOWN = 6
"""Sentences in which a sign must be seen to be weighed."""
_LEAST = 0.05
"""Weights below this say little and are left out."""
_CLASS = {"none": "none", "more": "one", "count": "many", "running": "many", "out": "out"}


@dataclass(frozen=True, eq=False)
class Sentence:
    """`told`: act → what the sentence tells of it, "" for nothing; acts of which that is not known are left out."""

    signs: tuple[str, ...]
    vector: Floats
    told: Mapping[str, str]


def study_acts(facts: Mapping[str, Any], whole: Session) -> list[Sentence]:
    """The sentences of one session with what they tell."""
    told = {kind: _labels(whole, kind, facts.get(name)) for kind, name in FACTS.items()}
    out = []
    for line in whole.lines:
        if line.section in SKIPPED or not line.tokens or line.encoded is None:
            continue
        known = {kind: labels.get(line.index, "") for kind, labels in told.items() if labels is not None}
        if known:
            out.append(_sentence(line, known))
    return out


def _sentence(line: Line, told: Mapping[str, str]) -> Sentence:
    assert line.encoded is not None
    return Sentence(act_signs(line, len(countable(line))), line.encoded.sentence, told)


def _labels(whole: Session, kind: str, wanted: int | None) -> dict[int, str] | None:
    """What each line tells, by the rules where they add up to the wanted count; a single line by the count itself."""
    found = ruled(whole, kind)
    if tallied(whole, found).count == wanted:
        return {i: _class(told) for i, told in found.items()}
    if len(whole.lines) == 1:
        return {0: "" if wanted is None else "none" if wanted == 0 else "one" if wanted == 1 else "many"}
    return None


def _class(told: Sequence[Told]) -> str:
    first = told[0]
    return "one" if first.kind == "count" and first.count == 1 else _CLASS[first.kind]


def written(lexicon: Lexicon) -> list[Sentence]:
    """The sentences of `data/acts.txt`."""
    out = []
    for short, told in pieces():
        analysis, passages = short.spoken()
        lines = named(session(analysis, passages, lexicon))[0].lines
        out += [_sentence(line, told) for line in lines if line.tokens and line.encoded is not None]
    return out


def pieces() -> list[tuple[Short, dict[str, str]]]:
    """Each sentence of `data/acts.txt` and what it tells."""
    out = []
    for n, row in enumerate((FOLDER / "acts.txt").read_text(encoding="utf-8").splitlines()):
        labels, colon, text = row.partition(": ")
        if colon and not row.startswith("#"):
            section, stage = _PLACES[n % len(_PLACES)]
            out.append((Short(f"acts-{n}", ((text, section, stage),), {}), _written(labels)))
    return out


_PLACES: Sequence[tuple[Section, Stage | None]] = (
    ("burn", "second"), ("burn", "after"), ("burn", "first"), ("aside", None), ("burn", "final"),
)
"""Where the written sentences are told, in turn: acts are told in asides too."""


def _written(labels: str) -> dict[str, str]:
    """"t2 r0" → {"touch_up": "many", "relight": "none"}; an act not named is not told of."""
    out = dict.fromkeys(KINDS, "")
    for label in labels.split():
        if label == "out":
            out["relight"] = "out"
        elif label != "-":
            kind = "touch_up" if label.strip("+")[0] == "t" else "relight"
            count = 1 if label[0] == "+" else int(label[1:])
            out[kind] = "none" if count == 0 else "one" if count == 1 else "many"
    return out


def fit_acts(sentences: Sequence[Sentence]) -> tuple[dict[str, dict[str, float]], dict[str, Floats]]:
    """(signs, vectors) of the roles "touch_up none" and so on: multinomial logistic, telling nothing weighs 0."""
    signs: dict[str, dict[str, float]] = {}
    vectors: dict[str, Floats] = {}
    for kind, classes in KINDS.items():
        mine = [s for s in sentences if kind in s.told]
        if mine:
            tables, along = _fit(mine, [s.told[kind] for s in mine], classes)
            signs |= {f"{kind} {told}": table for told, table in tables.items()}
            vectors |= {f"{kind} {told}": vector for told, vector in along.items()}
    return signs, vectors


def _fit(
    sentences: Sequence[Sentence], told: Sequence[str], classes: Sequence[str]
) -> tuple[dict[str, dict[str, float]], dict[str, Floats]]:
    from scipy.optimize import minimize
    from scipy.sparse import hstack

    names = logit.known_signs(([one.signs] for one in sentences), KNOWN)
    seen = logit.seen(names, [one.signs for one in sentences])
    x = hstack([seen, np.array([s.vector for s in sentences], np.float64), np.ones((len(sentences), 1))]).tocsr()
    right = np.array([[float(t == c) for c in classes] for t in told])
    shape = (x.shape[1], len(classes))
    penalty = np.concatenate([np.full(len(names), PENALTY), np.full(DIMENSIONS, VECTOR_PENALTY), [0.0]])[:, None]

    def loss(flat: Any) -> tuple[float, Any]:
        w = flat.reshape(shape)
        odds = x @ w
        top = np.maximum(odds.max(axis=1), 0.0)
        e = np.exp(odds - top[:, None])
        total = np.exp(-top) + e.sum(axis=1)
        value = (np.log(total) + top).sum() - (right * odds).sum() + 0.5 * (penalty * w * w).sum()
        return float(value), (x.T @ (e / total[:, None] - right) + penalty * w).ravel()

    w = minimize(loss, np.zeros(shape[0] * shape[1]), jac=True, method="L-BFGS-B", options={"maxiter": 150}).x
    w = w.reshape(shape)
    tables = {
        told: {n: round(float(w[i, k]), 3) for i, n in enumerate(names) if abs(w[i, k]) >= _LEAST} | {
            "": round(float(w[-1, k]), 3)
        }
        for k, told in enumerate(classes)
    }
    return tables, {told: w[len(names) : -1, k].astype(np.float32) for k, told in enumerate(classes)}
