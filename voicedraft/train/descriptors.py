"""Fits the weights of the descriptors from gold sessions.

    python -m voicedraft.train.descriptors GOLD...                    fit and write the shipped weights
    python -m voicedraft.train.descriptors --leave-one-out GOLD...    print figures, each session read by the others
                                                                      (--parts=7: a seventh at a time)

The classifiers see tags that the tagger gave to sessions it was not fitted on (stacked generalisation, Wolpert 1992).
Some lexicon terms are hidden from each session while the tagger learns, so that it also learns what unlisted flavours
look like.
"""

from __future__ import annotations

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import random  # noqa: E402
import zlib  # noqa: E402
from collections import Counter  # noqa: E402
from collections.abc import Sequence  # noqa: E402
from dataclasses import dataclass  # noqa: E402
from functools import lru_cache  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import Any  # noqa: E402

import numpy as np  # noqa: E402
import numpy.typing as npt  # noqa: E402

from voicedraft.read.analysis import Analysis  # noqa: E402
from voicedraft.read.descriptors.lexical import Matcher  # noqa: E402
from voicedraft.read.descriptors.places import PLACES  # noqa: E402
from voicedraft.read.descriptors.reader import Seen, Tools, see, tag, tag_dense  # noqa: E402
from voicedraft.read.descriptors.tag_features import token_features  # noqa: E402
from voicedraft.read.descriptors.tokens import Tokens, tokens  # noqa: E402
from voicedraft.read.descriptors.weights import FILE, DescriptorWeights, Linear, dump  # noqa: E402
from voicedraft.train.analysed import analysed  # noqa: E402
from voicedraft.train.command import each_studied  # noqa: E402
from voicedraft.train.descriptors_align import Aligned, align  # noqa: E402
from voicedraft.train.descriptors_extra import extra_sessions  # noqa: E402
from voicedraft.train.descriptors_labels import STATUS, MentionLabels, mention_labels, tag_labels  # noqa: E402
from voicedraft.types import INTENSITIES, Passage  # noqa: E402

Floats = npt.NDArray[np.float32]

FOLDS = 4
"""Parts for the inner fits of the tagger."""
HIDDEN = 0.35
"""Share of the lexicon's terms hidden from a session while the tagger learns."""
COMPONENTS = 64
"""Components of the token vectors that the tagger sees."""
TAG_BIAS = 2.0
"""Log-odds added to the beginning of a name, so that doubtful ones reach the classifier."""
TAG_C, STATUS_C, INTENSITY_C, PLACE_C = 0.3, 0.05, 0.05, 0.3
THRESHOLD = 0.65
"""Least probability of being an entry; the best F1 leave-one-speaker-out of 0.45, 0.55 and 0.65."""
STATUS_SCALE, INTENSITY_SCALE = 0.1, 0.05
LEAST = 3
"""A feature name counts where at least this many tokens or mentions have it."""


@dataclass(frozen=True, eq=False)
class Session:
    """One annotated session, ready to learn from."""

    name: str
    gold: dict[str, Any]
    row: Tokens
    spans: list[Aligned]
    tag_names: list[list[str]]
    tag_y: npt.NDArray[np.int64]
    tag_w: npt.NDArray[np.float64]


def prepare(name: str, gold: dict[str, Any], analysis: Analysis, passages: Sequence[Passage], kit: Tools) -> Session:
    """Tokens, alignment and tagger features of one session, with `HIDDEN` of the lexicon hidden from the features."""
    row = tokens(analysis, passages, kit.matcher)
    spans = align(gold, row)
    labels, weights = tag_labels(gold, row, spans)
    rng = random.Random(zlib.crc32(name.encode()))  # noqa: S311 - not for secrets
    hidden = {t for t in sorted(kit.lexicon.terms) if rng.random() < HIDDEN}
    matcher = Matcher(kit.lexicon, hidden)
    full, row.lexical = row.lexical, matcher.match([t.lower for t in row.rows], row.bounds)
    names = token_features(row, matcher, kit.classes)
    row.lexical = full
    return Session(name, gold, row, spans, names, labels, weights)


def _matrix(names: Sequence[Sequence[str]], vocabulary: dict[str, int], dense: Floats | None) -> Any:
    import scipy.sparse as sp

    rows: list[int] = []
    columns: list[int] = []
    for i, found in enumerate(names):
        for name in dict.fromkeys(found):
            j = vocabulary.get(name)
            if j is not None:
                rows.append(i)
                columns.append(j)
    table = sp.csr_matrix((np.ones(len(rows), np.float32), (rows, columns)), shape=(len(names), len(vocabulary)))
    return table if dense is None else sp.hstack([table, sp.csr_matrix(dense)]).tocsr()


def fit_linear(
    names: Sequence[Sequence[str]], dense: Floats | None, labels: npt.NDArray[np.int64],
    weights: npt.NDArray[np.float64], classes: Sequence[str], c: float, scale: float, rounds: int = 150,
) -> Linear:
    """A softmax with ridge penalty 1/c; dense columns are centred and brought to deviation `scale` for the fit."""
    from sklearn.linear_model import LogisticRegression

    keep = np.flatnonzero(weights > 0)
    names = [names[int(i)] for i in keep]
    counts = Counter(n for found in names for n in dict.fromkeys(found))
    vocabulary = {n: i for i, n in enumerate(sorted(n for n, q in counts.items() if q >= LEAST))}
    mean = spread = None
    if dense is not None:
        dense = dense[keep]
        mean = dense.mean(axis=0) if scale else np.zeros(dense.shape[1], np.float32)
        spread = scale / (dense.std(axis=0) + 1e-6) if scale else np.ones(dense.shape[1], np.float32)
        dense = ((dense - mean) * spread).astype(np.float32)
    model = LogisticRegression(C=c, max_iter=rounds, tol=1e-3)
    model.fit(_matrix(names, vocabulary, dense), labels[keep], weights[keep])
    full = np.full((len(classes), model.coef_.shape[1]), 0.0)
    bias = np.full(len(classes), -20.0)
    coefficients, intercepts = model.coef_, model.intercept_
    if len(model.classes_) == 2:
        coefficients = np.vstack([-coefficients, coefficients]) / 2
        intercepts = np.array([-intercepts[0], intercepts[0]]) / 2
    full[model.classes_] = coefficients
    bias[model.classes_] = intercepts
    n = len(vocabulary)
    deep = full[:, n:]
    if dense is not None and mean is not None and spread is not None:
        deep = deep * spread
        bias = bias - deep @ mean
    return Linear(tuple(classes), vocabulary, full[:, :n].T.astype(np.float32), deep.T.astype(np.float32),
                  bias.astype(np.float32))


def project(sessions: Sequence[Session]) -> Floats:
    """(384, `COMPONENTS`): leading directions of the token vectors, each brought to deviation 0.3."""
    stack = np.vstack([s.row.vectors for s in sessions])[::3]
    stack = stack - stack.mean(axis=0)
    values, vectors = np.linalg.eigh((stack.T @ stack).astype(np.float64) / len(stack))
    top = np.argsort(-values)[:COMPONENTS]
    directions = vectors[:, top]
    directions = directions * np.sign(directions[np.abs(directions).argmax(axis=0), np.arange(len(top))])
    out: Floats = (directions / np.sqrt(values[top]) * 0.3).astype(np.float32)
    return out


def fit_tagger(sessions: Sequence[Session]) -> tuple[Floats, Linear]:
    """The projection and the tagger."""
    projection = project(sessions)
    dense = np.vstack([tag_dense(s.row, projection) for s in sessions])
    names = [n for s in sessions for n in s.tag_names]
    labels = np.concatenate([s.tag_y for s in sessions])
    weights = np.concatenate([s.tag_w for s in sessions])
    return projection, fit_linear(names, dense, labels, weights, ("O", "B", "I"), TAG_C, 0.0, 80)


def cross_tagged(sessions: Sequence[Session], kit: Tools) -> list[Seen]:
    """Each session seen with tags of a tagger that was not fitted on it."""
    out: dict[int, Seen] = {}
    for part in range(FOLDS):
        test = [i for i in range(len(sessions)) if i % FOLDS == part]
        projection, tagger = fit_tagger([s for i, s in enumerate(sessions) if i % FOLDS != part])
        for i in test:
            row = sessions[i].row
            out[i] = see(row, kit, tag(row, kit, tagger, projection), TAG_BIAS)
    return [out[i] for i in range(len(sessions))]


def labelled(sessions: Sequence[Session], seen: Sequence[Seen]) -> list[MentionLabels]:
    """What each mention should come to."""
    return [mention_labels(s.gold, s.row, v.mentions, s.spans, v.cues) for s, v in zip(sessions, seen, strict=True)]


def fit_judges(seen: Sequence[Seen], labels: Sequence[MentionLabels]) -> tuple[Linear, Linear, Linear]:
    """The classifiers of status, intensity and place."""
    names = [n for v in seen for n in v.features]
    dense = np.vstack([v.dense for v in seen])
    weight = np.concatenate([x.weight for x in labels])
    status = fit_linear(
        names, dense, np.concatenate([x.status for x in labels]), weight, STATUS, STATUS_C, STATUS_SCALE
    )
    step = np.concatenate([x.intensity for x in labels])
    asked = (step >= 0).astype(np.float64)
    intensity = fit_linear(names, dense, step, asked, INTENSITIES, INTENSITY_C,
                           INTENSITY_SCALE)
    where = np.concatenate([x.place for x in labels])
    named = [n for v in seen for n in v.place_features]
    told = ((where >= 0) & np.array([bool(n) for n in named])).astype(np.float64)
    return status, intensity, fit_linear(named, None, where, told, PLACES, PLACE_C, 0.0)


def fit(sessions: Sequence[Session], kit: Tools) -> DescriptorWeights:
    """All weights from the given sessions."""
    seen = cross_tagged(sessions, kit)
    labels = labelled(sessions, seen)
    status, intensity, place = fit_judges(seen, labels)
    projection, tagger = fit_tagger(sessions)
    return DescriptorWeights(projection=projection, tagger=tagger, status=status, intensity=intensity, place=place,
                             threshold=THRESHOLD, tag_bias=TAG_BIAS)


def prepare_gold(gold: dict[str, Any], kit: Tools) -> Session:
    """Analyse and prepare one gold session with its annotated sections."""
    from voicedraft.evaluate.gold import gold_passages, transcript

    return prepare(str(gold.get("id", "gold")), gold, analysed(transcript(gold)), gold_passages(gold), kit)


@lru_cache(maxsize=1)
def _kit() -> Tools:
    from voicedraft.lexicon import load_lexicon

    return Tools(load_lexicon())


def fit_golds(golds: Sequence[dict[str, Any]], prepared: dict[str, Session] | None = None) -> DescriptorWeights:
    """Weights from gold sessions given as data, and from the made-up speakers of data/descriptors.txt.

    prepared: a store that callers who fit many times may pass; a session stays there under its id.
    """
    made_up = [gold for _, gold in extra_sessions()]
    return fit(each_studied([*golds, *made_up], lambda _, gold: prepare_gold(gold, _kit()), prepared), _kit())


def main(arguments: Sequence[str]) -> None:
    """Fit and write the weights, or print figures leave-one-out."""
    from voicedraft.evaluate.gold import load

    golds = [load(p) for p in sorted((Path(a) for a in arguments if not a.startswith("--")), key=lambda p: p.stem)]
    if "--leave-one-out" in arguments:
        from voicedraft.train.descriptors_figures import leave_one_out

        parts = [a.removeprefix("--parts=") for a in arguments if a.startswith("--parts=")]
        leave_one_out(golds, int(parts[0]) if parts else 0)
        return
    data = dump(fit_golds(golds))
    FILE.write_bytes(data)
    print(f"{FILE.name}: {len(data):,} bytes from {len(golds)} sessions")


if __name__ == "__main__":
    import sys

    main(sys.argv[1:])
