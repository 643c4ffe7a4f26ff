"""Fits the weights of the sections from gold sessions.

    python -m voicedraft.train.sections GOLD...                    fit and write the shipped weights
    python -m voicedraft.train.sections --leave-one-out GOLD...    print figures, each session read by the others

Both passes are fitted on sessions only; the second pass sees scores that the first pass gave to sessions it was not
fitted on (stacked generalisation, Wolpert 1992).
"""

from __future__ import annotations

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

from collections import Counter  # noqa: E402
from collections.abc import Collection, Mapping, Sequence  # noqa: E402
from dataclasses import dataclass, replace  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import Any  # noqa: E402

import numpy as np  # noqa: E402

from voicedraft.evaluate.calibration import threshold  # noqa: E402
from voicedraft.evaluate.gold import load, sentence_labels, transcript  # noqa: E402
from voicedraft.read.sections import section_chances  # noqa: E402
from voicedraft.read.sections.decode import confidence, first_pass, odds  # noqa: E402
from voicedraft.read.sections.features import Seen, second, see  # noqa: E402
from voicedraft.read.sections.labels import Floats, allowed  # noqa: E402
from voicedraft.read.sections.weights import FILE, Near, SectionWeights, save  # noqa: E402
from voicedraft.train import chain  # noqa: E402
from voicedraft.train.views import Label, Sums, dense_maps, sums, word_table  # noqa: E402
from voicedraft.types import SECTIONS  # noqa: E402

FOLDS = 8
"""Parts for the inner fits; sessions go round the parts in order."""
PARTS = 5
"""Parts for the readings on which confidence is calibrated."""
NEAR_SIZE = 48
"""Directions kept of the vectors of the sentences shown beside a passage."""
RIDGE, MOVE_RIDGE, ROUNDS = 60.0, 0.3, 80
"""Penalties and L-BFGS rounds of the chain, chosen leave-one-speaker-out on the development sessions."""


@dataclass(frozen=True, eq=False)
class Prepared:
    """One annotated session, looked at and summed up. `labels[i]`: section and stage of sentence i."""

    name: str
    seen: Seen
    labels: tuple[Label, ...]
    texts: tuple[str, ...]
    words: tuple[int, ...]
    sums: Sums


def prepare(name: str, gold: dict[str, Any]) -> Prepared:
    """Split, parse, encode and sum up one gold session; a sentence takes the label of most of its words."""
    from voicedraft.lexicon import load_lexicon
    from voicedraft.read.analysis import analyse

    analysis = analyse(transcript(gold))
    by_word = [(s, stage) for a, z, s, stage in sentence_labels(gold) for _ in range(a, z)]
    labels = tuple(
        Counter(by_word[s.first : s.last]).most_common(1)[0][0] for s in analysis.sentences
    )
    seen = see(analysis, load_lexicon())
    return Prepared(
        name, seen, labels, tuple(s.text for s in analysis.sentences),  # type: ignore[arg-type]
        tuple(s.last - s.first for s in analysis.sentences), sums(seen, labels),  # type: ignore[arg-type]
    )


def _bare(all_sums: Sequence[Sums]) -> SectionWeights:
    """Weights that hold the first pass alone."""
    words, word_weights = word_table(all_sums)
    none = np.zeros(0)
    return SectionWeights(dense_maps(all_sums), words, word_weights, none, none, none, none, none, none, 1.0, 0.5)


def stacked(sessions: Sequence[Prepared]) -> dict[str, Floats]:
    """name → second-pass features, from first passes that were not fitted on that session."""
    out = {}
    for part in range(min(FOLDS, len(sessions))):
        held = sessions[part::FOLDS]
        weights = _bare([s.sums for s in sessions if s not in held])
        for s in held:
            out[s.name] = second(first_pass(s.seen, weights), s.seen)
    return out


def _scaled(features: Mapping[str, Floats]) -> tuple[Floats, Floats]:
    """(middle, spread) of the columns; the last column, always one, is left as it is."""
    rows = np.concatenate(list(features.values()))
    middle, spread = rows.mean(axis=0), np.maximum(rows.std(axis=0), 0.05)
    middle[-1], spread[-1] = 0.0, 1.0
    return middle, spread


def fit(sessions: Sequence[Prepared]) -> SectionWeights:
    """Weights fitted on the sessions, without calibration."""
    features = stacked(sessions)
    middle, spread = _scaled(features)
    rows = [
        chain.Sequence_((features[s.name] - middle) / spread, s.seen.place.new_take,
                        np.array([allowed(*label) for label in s.labels]))
        for s in sessions
    ]
    found = chain.fit(rows, RIDGE, MOVE_RIDGE, ROUNDS)
    topic, phase = found.topic / spread[:, None], found.phase / spread[:, None]
    topic[-1] -= middle @ topic
    phase[-1] -= middle @ phase
    return replace(
        _bare([s.sums for s in sessions]), topic=topic, phase=phase, topic_moves=found.topic_moves,
        phase_moves=found.phase_moves, topic_start=found.topic_start, phase_start=found.phase_start,
    )


def read_out(session: Prepared, weights: SectionWeights) -> Floats:
    """(sentences, labels) odds of a prepared session."""
    return odds(second(first_pass(session.seen, weights), session.seen), session.seen.place.new_take, weights)


def out_of_part(sessions: Sequence[Prepared], parts: int) -> dict[str, Floats]:
    """name → odds from weights fitted on the other parts; `parts` = number of sessions leaves one out at a time."""
    out = {}
    for part in range(parts):
        held = sessions[part::parts]
        if held:
            weights = fit([s for s in sessions if s not in held])
            out |= {s.name: read_out(s, weights) for s in held}
    return out


def leave_one_out(sessions: Sequence[Prepared], wanted: Collection[str]) -> dict[str, Floats]:
    """name → odds from weights fitted on all other sessions, for the wanted names."""
    return {s.name: read_out(s, fit([o for o in sessions if o is not s])) for s in sessions if s.name in wanted}


def judged(sessions: Sequence[Prepared], chances: Mapping[str, Floats]) -> tuple[Floats, list[int], list[int]]:
    """(section chances, right section, words) of every sentence of the sessions read."""
    rows, right, words = [], [], []
    for s in sessions:
        rows.append(section_chances(chances[s.name]))
        right += [SECTIONS.index(section) for section, _ in s.labels]
        words += s.words
    return np.concatenate(rows), right, words


def temperature_of(chances: Floats, right: Sequence[int]) -> float:
    """The temperature with the least log-loss on sections read out of part."""
    from scipy.optimize import minimize_scalar

    logs = np.log(np.maximum(chances, 1e-12))
    at = np.arange(len(right))

    def loss(log_t: float) -> float:
        scaled = logs / np.exp(log_t)
        total = np.logaddexp.reduce(scaled, axis=1)
        return float((total - scaled[at, right]).mean())

    return float(np.exp(minimize_scalar(loss, bounds=(-1.5, 2.5), method="bounded").x))


def near_of(sessions: Sequence[Prepared]) -> Near:
    """The annotated sentences themselves, with vectors of NEAR_SIZE steps: principal directions, int8."""
    vectors = np.concatenate([s.seen.vectors for s in sessions])
    _, _, directions = np.linalg.svd(vectors, full_matrices=False)
    projection = directions[:NEAR_SIZE].T * np.sign(directions[:NEAR_SIZE].sum(axis=1))
    small = vectors @ projection
    steps = np.round(small / np.abs(small).max() * 127).astype(np.int8)
    told = [f"{section}, {stage}" if stage else section for s in sessions for section, stage in s.labels]
    return Near(tuple(t for s in sessions for t in s.texts), tuple(told), steps, projection)


def complete(sessions: Sequence[Prepared]) -> SectionWeights:
    """Weights fitted on all sessions, calibrated on readings out of part, with the sentences to show beside."""
    chances, right, _ = judged(sessions, out_of_part(sessions, PARTS))
    t = temperature_of(chances, right)
    sure = confidence(chances, t)
    found = chances.argmax(axis=1)
    look_first = threshold(sure.tolist(), [bool(a == b) for a, b in zip(found, right, strict=True)])
    return replace(fit(sessions), temperature=t, look_first=look_first, near=near_of(sessions))


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit and write the weights, or print figures leave-one-out."""
    import argparse

    parser = argparse.ArgumentParser(prog="python -m voicedraft.train.sections", description=__doc__.splitlines()[0])
    parser.add_argument("gold", nargs="+", type=Path)
    parser.add_argument("--leave-one-out", action="store_true", help="print figures instead of writing weights")
    parser.add_argument("--only", default="", help="with --leave-one-out: names that begin so")
    parser.add_argument("--output", type=Path, default=FILE)
    options = parser.parse_args(arguments)
    sessions = [prepare(p.stem, load(p)) for p in sorted(options.gold, key=lambda p: p.stem)]
    if options.leave_one_out:
        from voicedraft.train.section_figures import tell

        wanted = [s for s in sessions if s.name.startswith(options.only)]
        tell(wanted, leave_one_out(sessions, {s.name for s in wanted}))
        return 0
    save(complete(sessions), options.output)
    print(f"{options.output}: {options.output.stat().st_size:,} bytes from {len(sessions)} sessions")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
