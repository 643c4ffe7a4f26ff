"""Fits the fact reader's weights: `python -m voicedraft.train facts`. The same sessions give the same bytes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

import numpy as np

from voicedraft.evaluate.gold_vtt import heard
from voicedraft.evaluate.matching import similar
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.facts.candidates import Candidate
from voicedraft.read.facts.context import Session, session
from voicedraft.read.facts.fillers import FILLER
from voicedraft.read.facts.model import FILE, save
from voicedraft.read.facts.named import named
from voicedraft.read.facts.naming import NAME, words_of
from voicedraft.read.facts.roles import ROLES
from voicedraft.read.facts.seen import Seen, seen_of
from voicedraft.read.sections import read_sections
from voicedraft.read.sign_weights import Floats, SignWeights
from voicedraft.read.vectors import DIMENSIONS
from voicedraft.train import acts, logit
from voicedraft.train.analysed import analysed
from voicedraft.train.command import each_studied, fit_and_save
from voicedraft.train.passages import short_passages
from voicedraft.types import Passage

PENALTY, VECTOR_PENALTY = 3.0, 0.15
"""L2 penalties of the signs and of the vectors, chosen by folds over speakers."""
KNOWN_SESSIONS = 4
"""Sessions and passages in which a sign must be seen to be weighed."""
INCH_MM = 25.4


ALONE = {FILLER: "leaf", NAME: "name"}
"""Roles of which each candidate is weighed by itself, and their kind."""
Told = tuple[tuple[Seen, bool], ...]
"""Each candidate of a role as it is seen, and whether it is the fact."""


@dataclass(frozen=True, eq=False)
class Studied:
    """Of one session, whole and passage by passage: what is told for each role."""

    roles: Mapping[str, tuple[Told, ...]]
    sentences: Sequence[acts.Sentence] = ()


def study_gold(gold: dict[str, Any], lexicon: Lexicon) -> Studied:
    """Analyse and read one annotated session, with the shipped section weights."""
    analysis = analysed(heard(gold, "sentences"))
    return study(gold["facts"], analysis, read_sections(analysis, lexicon, None), lexicon)


def study(
    facts: Mapping[str, Any], analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon, parts: bool = True
) -> Studied:
    """The candidates of one session, with `parts` those of each passage alone too, and what is annotated of them."""
    whole = named(session(analysis, passages, lexicon))[0]
    told_apart = [seen_of(part) for part in (whole, *(_passages(whole) if parts else ()))]
    alone = {
        role: tuple(((one, is_fact(role, one.candidate, facts)),) for one in told_apart[0].get(kind, ()))
        for role, kind in ALONE.items()
    }
    return Studied({**alone, **{
        role.name: tuple(
            told for seen in told_apart
            if (told := tuple((one, is_fact(role.name, one.candidate, facts)) for one in seen.get(role.kind, ())))
        )
        for role in ROLES
    }}, acts.study_acts(facts, whole))


def _passages(whole: Session) -> list[Session]:
    """Each passage as a session of its own: people also speak of one thing only."""
    out = []
    for _, lines in groupby(whole.lines, key=lambda line: line.passage):
        out.append(replace(whole, lines=tuple(replace(line, index=i) for i, line in enumerate(lines))))
    return out


def is_fact(role: str, candidate: Candidate, facts: Mapping[str, Any]) -> bool:
    """Whether the annotation gives this value for the role, within what counts as the same."""
    if role == FILLER:
        return any(_same_text(candidate.value, leaf) for leaf in facts.get(FILLER) or ())
    if role == NAME:
        said = words_of(candidate.value)
        return bool(said) and said <= words_of(facts.get(NAME) or "")
    if isinstance(candidate.value, str):
        return _same_text(candidate.value, facts.get({"country": "factory_country"}.get(role, role)))
    single, box = facts.get("price_single") or {}, facts.get("price_box") or {}
    wanted: dict[str, tuple[list[Any], float]] = {
        "price_single": ([single.get("amount")], 0.006), "price_box": ([box.get("low"), box.get("high")], 0.006),
        "box_count": ([box.get("count")], 0.0), "length_mm": ([_mm(facts.get("length_in"))], 1.0),
        "ring_gauge": ([facts.get("ring_gauge")], 0.0), "storage_rh_pct": ([facts.get("storage_rh_pct")], 0.5),
        "rest_days": ([facts.get("rest_days")], 3.0), "smoking_minutes": ([facts.get("smoking_minutes")], 1.0),
    }
    values, tolerance = wanted[role]
    own = (candidate.value, *candidate.amounts, *((100 * candidate.value,) if role == "price_box" else ()))
    return any(v is not None and abs(v - o) <= tolerance for v in values for o in own)


def _same_text(read: str, wanted: str | None) -> bool:
    """Whether one is the other with more or fewer words: "Honduran" is of "Honduras Corojo"."""
    return bool(read and wanted) and (similar(read, wanted) or similar(wanted, read))


def _mm(inches: float | None) -> float | None:
    return None if inches is None else inches * INCH_MM


def fit(studied: Sequence[Studied]) -> SignWeights:
    """Weights of every role."""
    roles = [*(role.name for role in ROLES), *ALONE]
    fitted = {name: _fit_role([t for s in studied for t in s.roles.get(name, ())]) for name in roles}
    signs, vectors = acts.fit_acts([*(x for s in studied for x in s.sentences)])
    return SignWeights({name: table for name, (table, _) in fitted.items()} | signs, {
        name: vector for name, (_, vector) in fitted.items() if vector is not None
    } | vectors)


def _fit_role(sessions: Sequence[Told]) -> tuple[dict[str, float], Floats | None]:
    """The candidates of a session compete; signs seen often enough are weighed, and every candidate's vector."""
    known = logit.known_signs(([one.signs for one, _ in told] for told in sessions), KNOWN_SESSIONS)
    none = np.zeros(DIMENSIONS, np.float32)
    vectors = np.array([none if one.vector is None else one.vector for told in sessions for one, _ in told], np.float32)
    groups = [tuple((one.signs, right) for one, right in told) for told in sessions]
    return logit.fit_with_vectors(groups, known, PENALTY, vectors, VECTOR_PENALTY)


def fit_golds(golds: Sequence[dict[str, Any]], studied: dict[str, Studied] | None = None) -> SignWeights:
    """Weights from gold sessions given as data.

    studied: a store that callers who fit many times may pass; a session stays there under its id.
    """
    store = {} if studied is None else studied
    return fit([*each_studied(golds, lambda _, gold: study_gold(gold, load_lexicon()), store), *_short(store)])


def _short(store: dict[str, Studied]) -> list[Studied]:
    """The passages written for fitting, each studied once."""
    out = []
    for short in short_passages():
        if short.name not in store:
            analysis, passages = short.spoken()
            store[short.name] = study(short.facts, analysis, passages, load_lexicon(), parts=False)
        out.append(store[short.name])
    if _WRITTEN not in store:
        store[_WRITTEN] = Studied({}, acts.written(load_lexicon()))
    return [*out, store[_WRITTEN]]


_WRITTEN = "written acts"


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit and write the weights."""
    return fit_and_save("facts", lambda golds, file: save(fit_golds(golds), file), FILE, arguments)


if __name__ == "__main__":
    raise SystemExit(main())
