"""Section weights of one's own: the shipped chain, moved towards the sections of the sessions that were corrected.

Chosen by measuring on the development sessions, each by another speaker (benchmarks/learning.py): the first walk's
chain alone is fitted anew, held near the shipped weights, and only once there are enough sessions. With one session it
made the next ones worse by a tenth, with four better by a twentieth, with twelve by a sixth.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from voicedraft.correct.learning import chain
from voicedraft.correct.learning.lessons import Sentence
from voicedraft.correct.learning.store import Store
from voicedraft.errors import ModelError
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.paths import cache_folder
from voicedraft.read.analysis import Analysis, analyse
from voicedraft.read.sections.decode import first_pass
from voicedraft.read.sections.features import second, see
from voicedraft.read.sections.labels import Floats, allowed
from voicedraft.read.sections.weights import FILE, Chain, SectionWeights, load, save, shipped
from voicedraft.types import Take, Transcript, Word

LEAST_SESSIONS = 4
"""Corrected sessions from which the sections are weighed anew."""
RIDGE, MOVE_RIDGE, ROUNDS = 60.0, 3.0, 60
"""Penalties on leaving the shipped weights, for features and for moves, and rounds of the fit."""
LEAST_SPREAD = 0.05


def transcript_of(sentences: Sequence[Sentence]) -> Transcript:
    """The transcript that corrected sentences make up."""
    words = [Word(t, a, b, s.take, heard=t) for s in sentences for t, a, b in s.words]
    takes = {s.take: [w for w in words if w.take == s.take] for s in sentences if s.words}
    return Transcript(tuple(words), tuple(Take(n, ws[0].start, ws[-1].end, "") for n, ws in takes.items()))


def agreeing(sentences: Sequence[Sentence], analysis: Analysis, forgotten: frozenset[str]) -> Floats:
    """(sentences, states) ones where a state agrees with the section and stage of most words of the sentence.

    A sentence whose correction is forgotten agrees with every state.
    """
    by_word = [(s.section, s.stage, bool(forgotten & set(s.events))) for s in sentences for _ in s.words]
    rows = []
    for sentence in analysis.sentences:
        here = by_word[sentence.first : sentence.last]
        section, stage, lost = max(dict.fromkeys(here), key=here.count)
        agree = allowed(section, stage)  # type: ignore[arg-type]
        rows.append(np.ones_like(agree) if lost else agree)
    return np.array(rows)


def lesson(
    sentences: Sequence[Sentence], weights: SectionWeights, lexicon: Lexicon, forgotten: frozenset[str] = frozenset(),
    analysis: Analysis | None = None,
) -> chain.Lesson | None:
    """One corrected session as the chain sees it, or None where it holds no words.

    analysis: of these very words, where there is one already.
    """
    analysis = analysis or analyse(transcript_of(sentences))
    if not analysis.sentences:
        return None
    seen = see(analysis, lexicon)
    features = second(first_pass(seen, weights), seen)
    return chain.Lesson(features, seen.place.kinds, agreeing(sentences, analysis, forgotten))


def adapt(weights: SectionWeights, lessons: Sequence[chain.Lesson]) -> SectionWeights:
    """The weights moved towards the lessons; the same weights where there are too few."""
    if len(lessons) < LEAST_SESSIONS:
        return weights
    shipped_chain = weights.chains[0]
    rows = np.concatenate([x.features for x in lessons])
    spread = np.maximum(rows.std(axis=0), LEAST_SPREAD)
    spread[-1] = 1.0
    prior = (shipped_chain.topic * spread[:, None], shipped_chain.phase * spread[:, None], shipped_chain.topic_moves,
             shipped_chain.phase_moves, shipped_chain.topic_start, shipped_chain.phase_start)
    scaled = [replace(x, features=x.features / spread) for x in lessons]
    found: tuple[Floats, ...] = chain.fit(scaled, prior, RIDGE, MOVE_RIDGE, ROUNDS)
    moved = Chain(found[0] / spread[:, None], found[1] / spread[:, None], *found[2:])
    return replace(weights, chains=(moved, *weights.chains[1:]))


def user_weights(store: Store | None = None) -> SectionWeights | None:
    """The section weights of the user's own, or None where too few sessions were corrected.

    Made once a state of the lessons, and kept in the cache. Raises ModelError where a language model is missing,
    LexiconError on a malformed file of lessons.
    """
    store = store or Store()
    sessions = [s for s in store.sessions() if s.sentences]
    if len(sessions) < LEAST_SESSIONS:
        return None
    forgotten = store.forgotten()
    kept = cache_folder() / "weights" / f"{_name(store, [s.session for s in sessions], forgotten)}.npz"
    if kept.exists():
        try:
            return load(kept)
        except ModelError:
            kept.unlink(missing_ok=True)
    lexicon = load_lexicon(store.folder)
    found = [lesson(s.sentences, shipped(), lexicon, forgotten) for s in sessions]
    made = adapt(shipped(), [x for x in found if x is not None])
    kept.parent.mkdir(parents=True, exist_ok=True)
    save(made, kept)
    return load(kept)


def _name(store: Store, sessions: Sequence[str], forgotten: frozenset[str]) -> str:
    """Changes with the lessons, with what is forgotten, with the layer and with the shipped weights."""
    digest = hashlib.sha256("\n".join(sorted(forgotten)).encode())
    paths: list[Path] = [FILE, *sorted(store.folder.glob("*.toml")), *(store.learned / f"{s}.json" for s in sessions)]
    for path in paths:
        digest.update(hashlib.sha256(path.read_bytes()).digest())
    return digest.hexdigest()[:24]
