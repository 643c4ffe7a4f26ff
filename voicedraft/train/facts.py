"""Fits the fact reader's weights: `python -m voicedraft.train facts`. The same sessions give the same bytes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any

from voicedraft.evaluate.gold_vtt import heard
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.read.analysis import Analysis, analyse
from voicedraft.read.facts.candidates import Candidate
from voicedraft.read.facts.context import Session, session
from voicedraft.read.facts.model import FILE, FactWeights, save
from voicedraft.read.facts.named import named
from voicedraft.read.facts.roles import ROLES, seen_of
from voicedraft.read.numbers.tokens import fold
from voicedraft.read.sections import read_sections
from voicedraft.train import logit
from voicedraft.train.command import fit_and_save
from voicedraft.train.logit import Told
from voicedraft.types import Passage

PENALTY = 2.0
"""L2 penalty, chosen leave-one-speaker-out."""
KNOWN_SESSIONS = 5
"""Sessions and passages in which a sign must be seen to be weighed."""
INCH_MM = 25.4


@dataclass(frozen=True, eq=False)
class Studied:
    """Of one session, whole and passage by passage: what is told for each role."""

    roles: Mapping[str, tuple[Told, ...]]


def study_gold(gold: dict[str, Any], lexicon: Lexicon) -> Studied:
    """Analyse and read one annotated session, with the shipped section weights."""
    analysis = analyse(heard(gold, "sentences"))
    return study(gold["facts"], analysis, read_sections(analysis, lexicon, None), lexicon)


def study(facts: Mapping[str, Any], analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon) -> Studied:
    """The candidates of one session, and of each of its passages alone, and what the annotation says of them."""
    whole = named(session(analysis, passages, lexicon))[0]
    parts = [seen_of(part) for part in (whole, *_passages(whole))]
    return Studied({
        role.name: tuple(
            told for seen in parts
            if (told := tuple((tuple(s), is_fact(role.name, c, facts)) for c, s in seen.get(role.kind, ())))
        )
        for role in ROLES
    })


def _passages(whole: Session) -> list[Session]:
    """Each passage as a session of its own: people also speak of one thing only."""
    out = []
    for _, lines in groupby(whole.lines, key=lambda line: line.passage):
        out.append(replace(whole, lines=tuple(replace(line, index=i) for i, line in enumerate(lines))))
    return out


def is_fact(role: str, candidate: Candidate, facts: Mapping[str, Any]) -> bool:
    """Whether the annotation gives this value for the role, within what counts as the same."""
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
    """Whether every word of the shorter is in the longer: "Honduran" is of "Honduran Corojo"."""
    a, b = (frozenset(fold(t or "").replace(",", " ").split()) for t in (read, wanted))
    return bool(a and b) and (a <= b or b <= a)


def _mm(inches: float | None) -> float | None:
    return None if inches is None else inches * INCH_MM


def fit(studied: Sequence[Studied]) -> FactWeights:
    """Weights of every role."""
    return FactWeights({role.name: _fit_role([t for s in studied for t in s.roles[role.name]]) for role in ROLES})


def _fit_role(sessions: Sequence[Told]) -> dict[str, float]:
    """The candidates of a session compete; signs seen often enough are weighed."""
    counts = Counter(s for told in sessions for s in {s for signs, _ in told for s in signs})
    return logit.fit(sessions, [s for s, n in counts.items() if n >= KNOWN_SESSIONS], PENALTY)


def fit_golds(golds: Sequence[dict[str, Any]], studied: dict[str, Studied] | None = None) -> FactWeights:
    """Weights from gold sessions given as data.

    studied: a store that callers who fit many times may pass; a session stays there under its id.
    """
    store = {} if studied is None else studied
    for gold in golds:
        if gold["id"] not in store:
            store[gold["id"]] = study_gold(gold, load_lexicon())
    return fit([store[gold["id"]] for gold in golds])


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit and write the weights."""
    return fit_and_save("facts", lambda golds, file: save(fit_golds(golds), file), FILE, arguments)


if __name__ == "__main__":
    raise SystemExit(main())
