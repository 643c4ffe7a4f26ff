"""Fits the weights of the sections from gold sessions.

    python -m voicedraft.train.sections GOLD...                    fit and write the shipped weights
    python -m voicedraft.train.sections --leave-one-out GOLD...    print figures, each session read by the others

Each pass sees only what the pass before it made of sessions that it was not fitted on (stacked generalisation, Wolpert
1992).
"""

from __future__ import annotations

import os

for _name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

from collections import Counter  # noqa: E402
from collections.abc import Collection, Iterator, Mapping, Sequence  # noqa: E402
from dataclasses import dataclass, replace  # noqa: E402
from functools import cache, cached_property  # noqa: E402
from pathlib import Path  # noqa: E402
from typing import Any  # noqa: E402

import numpy as np  # noqa: E402

from voicedraft.errors import InputError  # noqa: E402
from voicedraft.evaluate.calibration import threshold  # noqa: E402
from voicedraft.evaluate.gold import load, sentence_labels, transcript  # noqa: E402
from voicedraft.read.analysis import Analysis  # noqa: E402
from voicedraft.read.sections import section_chances  # noqa: E402
from voicedraft.read.sections.decode import confidence, first_pass, read, walk  # noqa: E402
from voicedraft.read.sections.features import Seen, second, see, third  # noqa: E402
from voicedraft.read.sections.labels import Floats, allowed  # noqa: E402
from voicedraft.read.sections.weights import FILE, Chain, Near, SectionWeights, save, shipped  # noqa: E402
from voicedraft.train import chain  # noqa: E402
from voicedraft.train.analysed import analysed  # noqa: E402
from voicedraft.train.command import each_studied  # noqa: E402
from voicedraft.train.views import Label, Sums, added, counts, dense_maps, sums, without, word_table  # noqa: E402
from voicedraft.types import SECTIONS  # noqa: E402

FOLDS = 8
"""Parts for the inner fits; sessions go round the parts in order."""
PARTS = 5
"""Parts for the readings on which confidence is calibrated."""
NEAR_SIZE = 32
"""Directions kept of the vectors of the annotated sentences that vote. 384 read no better than 64
leave-one-speaker-out, nor 48 better than 32 by quarters; 32 keep the file below 2 MB."""
LEAST_WORDS = 600
"""Shorter sessions resemble each other in build and make the reading of long ones worse leave-one-speaker-out."""
LEAST_SESSIONS = 5
"""Fewer sessions leave an inner fit without any."""
CHAIN_FOLDS = 4
"""Parts for the inner fits of the second pass."""
LEAST_SPREAD = 0.05
"""A column that hardly varies is not blown up beyond this."""
RIDGE, MOVE_RIDGE, ROUNDS = 60.0, 0.3, 25
"""Penalties and L-BFGS rounds of the chain, chosen leave-one-speaker-out on the development sessions."""


@dataclass(frozen=True, eq=False)
class Prepared:
    """One annotated session, looked at. `labels[i]`: section and stage of sentence i."""

    name: str
    seen: Seen
    labels: tuple[Label, ...]
    texts: tuple[str, ...]
    words: tuple[int, ...]

    @cached_property
    def counts(self) -> dict[str, Floats]:
        """How often each word was said of each topic and phase."""
        return counts(self.seen, self.labels)


def prepare(name: str, gold: dict[str, Any], analysis: Analysis | None = None) -> Prepared:
    """One gold session looked at; a sentence takes the label of most of its words.

    analysis: that of its transcript where it is made already.
    """
    from voicedraft.lexicon import load_lexicon

    analysis = analysis or analysed(transcript(gold))
    by_word = [(s, stage) for a, z, s, stage in sentence_labels(gold) for _ in range(a, z)]
    labels = tuple(
        Counter(by_word[s.first : s.last]).most_common(1)[0][0] for s in analysis.sentences
    )
    return Prepared(
        name, see(analysis, load_lexicon()), labels, tuple(s.text for s in analysis.sentences),  # type: ignore[arg-type]
        tuple(s.last - s.first for s in analysis.sentences),
    )


def unseen(sessions: Sequence[Prepared]) -> list[Prepared]:
    """The sessions with vectors of encoders that were not fitted on them, in the directions of the one that theirs are
    of: see `voicedraft.train.encoder.honest`."""
    from voicedraft.train.encoder.honest import unseen_vectors

    texts = {s.name: s.texts for s in sessions}
    vectors = unseen_vectors({s.name: s.seen.vectors for s in sessions}, texts, _by_part)
    return [replace(s, seen=replace(s.seen, vectors=vectors[s.name])) for s in sessions]


@cache
def _by_part(texts: tuple[str, ...], part: int) -> Floats:
    """Kept, since many fits ask for the same."""
    from voicedraft.train.encoder.honest import by_part

    return by_part(texts, part)


def _bare(sessions: Sequence[Prepared], told: Sums) -> SectionWeights:
    """Weights that hold the first pass alone. told: the sums over the sessions."""
    words, word_weights = word_table([s.counts for s in sessions])
    return SectionWeights(dense_maps(told), words, word_weights, (), 1.0, 0.5, near_of(sessions))


def stacked(sessions: Sequence[Prepared]) -> tuple[dict[str, Floats], Sums]:
    """(name → second-pass features, from first passes that were not fitted on that session; the sums over all)."""
    parts = list(_parts(sessions, FOLDS))
    told = [sums((s.seen, s.labels) for s in held) for held, _ in parts]
    whole, out = added(told), {}
    for (held, others), own in zip(parts, told, strict=True):
        weights = _bare(others, without(whole, own))
        for s in held:
            out[s.name] = second(first_pass(s.seen, weights), s.seen)
    return out, whole


def _parts(sessions: Sequence[Prepared], parts: int) -> Iterator[tuple[Sequence[Prepared], Sequence[Prepared]]]:
    """(held, others) for each part; sessions go round the parts in order."""
    for part in range(min(parts, len(sessions))):
        held = sessions[part::parts]
        yield held, [s for s in sessions if s not in held]


def _fit_chain(sessions: Sequence[Prepared], features: Mapping[str, Floats]) -> Chain:
    """A chain fitted on scaled columns, its weights scaled back; the last column, always one, takes the middles."""
    rows = np.concatenate([features[s.name] for s in sessions])
    middle, spread = rows.mean(axis=0), np.maximum(rows.std(axis=0), LEAST_SPREAD)
    middle[-1], spread[-1] = 0.0, 1.0
    found = chain.fit([
        chain.Row((features[s.name] - middle) / spread, s.seen.place.kinds,
                  np.array([allowed(*label) for label in s.labels])) for s in sessions
    ], RIDGE, MOVE_RIDGE, ROUNDS)
    topic, phase = found.topic / spread[:, None], found.phase / spread[:, None]
    topic[-1] -= middle @ topic
    phase[-1] -= middle @ phase
    return replace(found, topic=topic, phase=phase)


def fit(sessions: Sequence[Prepared]) -> SectionWeights:
    """Weights fitted on the sessions, without calibration."""
    features, told = stacked(sessions)
    again = {}
    for held, others in _parts(sessions, CHAIN_FOLDS):
        part = _fit_chain(others, features)
        for s in held:
            again[s.name] = third(features[s.name], walk(features[s.name], s.seen.place.kinds, part), s.seen)
    chains = (_fit_chain(sessions, features), _fit_chain(sessions, again))
    return replace(_bare(sessions, told), chains=chains)


def read_out(session: Prepared, weights: SectionWeights) -> Floats:
    """(sentences, labels) odds of a prepared session."""
    return read(session.seen, weights)[1]


def is_long(gold: dict[str, Any]) -> bool:
    """Whether a gold session has at least LEAST_WORDS words."""
    return sentence_labels(gold)[-1][1] >= LEAST_WORDS


def weights_from(golds: Sequence[dict[str, Any]], prepared: dict[str, Prepared] | None = None) -> SectionWeights:
    """Weights fitted on gold sessions given as data, on vectors of encoders that never saw them.

    prepared: a store that callers who fit many times may pass; a session stays there under its id.
    Not calibrated: temperature and threshold are those of the shipped weights where there are any.
    """
    found = fit(unseen(each_studied(golds, lambda _, gold: prepare(str(gold["id"]), gold), prepared)))
    if not FILE.exists():
        return found
    return replace(found, temperature=shipped().temperature, look_first=shipped().look_first)


def out_of_part(sessions: Sequence[Prepared], parts: int) -> dict[str, Floats]:
    """name → odds from weights fitted on the other parts; `parts` = number of sessions leaves one out at a time."""
    out: dict[str, Floats] = {}
    for held, others in _parts(sessions, parts):
        weights = fit(others)
        out |= {s.name: read_out(s, weights) for s in held}
    return out


def leave_one_out(sessions: Sequence[Prepared], wanted: Collection[str]) -> dict[str, Floats]:
    """name → odds from weights fitted on all other sessions, for the wanted names."""
    return {s.name: read_out(s, fit([o for o in sessions if o is not s])) for s in sessions if s.name in wanted}


def judged(sessions: Sequence[Prepared], chances: Mapping[str, Floats]) -> tuple[Floats, list[int], list[int]]:
    """(section chances, right section, words) of every sentence of the sessions read."""
    rows: list[Floats] = []
    right: list[int] = []
    words: list[int] = []
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
    _, directions = np.linalg.eigh(vectors.T @ vectors)
    projection = directions[:, : -NEAR_SIZE - 1 : -1]
    projection = projection * np.sign(projection.sum(axis=0))
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
    return replace(fit(sessions), temperature=t, look_first=look_first)


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit and write the weights, or print figures leave-one-out."""
    import argparse

    parser = argparse.ArgumentParser(prog="python -m voicedraft.train.sections", description=__doc__.splitlines()[0])
    parser.add_argument("gold", nargs="+", type=Path)
    parser.add_argument("--leave-one-out", action="store_true", help="print figures instead of writing weights")
    parser.add_argument("--only", default="", help="with --leave-one-out: names that begin so")
    parser.add_argument("--output", type=Path, default=FILE)
    options = parser.parse_args(arguments)
    if len(options.gold) < LEAST_SESSIONS:
        raise InputError(f"{len(options.gold)} gold sessions are too few to fit on. Give at least {LEAST_SESSIONS}.")
    sessions = unseen([prepare(p.stem, load(p)) for p in sorted(options.gold, key=lambda p: p.stem)])
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
