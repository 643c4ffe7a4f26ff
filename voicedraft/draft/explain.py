"""Why the draft says what it says: the evidence of every value, kept beside the draft and printed on request.

`evidence.json` maps a name to its evidence: passage ids ("p12"), "descriptor:STAGE:TERM", "fact:NAME",
"strength:STAGE", "score:ASPECT", "pairing:KIND:VALUE".
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from voicedraft.draft.document import Review
from voicedraft.draft.wording import FACT_NAMES
from voicedraft.errors import InputError, OutputError
from voicedraft.types import Evidence, Reading

EVIDENCE = "evidence.json"
CORRECTED = ("correction: ", "words: ")
"""Beginnings of the first reason of what the correct room changed."""
_PRINTED = {label.lower(): name for name, label in FACT_NAMES.items()}
"""A fact's label as the draft prints it → its name in the document."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason: its kind, what it saw, its weight in log-odds (0 where a rule decides alone) and the words."""

    kind: str
    detail: str
    weight: float
    words: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """All reasons of one value, heaviest first."""

    name: str
    value: str
    passage: str
    reasons: tuple[Reason, ...]


def collect(reading: Reading) -> dict[str, list[dict[str, Any]]]:
    """The evidence of every value of a reading, as JSON data."""
    return {name: [_data(reading, e) for e in evidence] for name, evidence in _named(reading)}


def _named(reading: Reading) -> Iterator[tuple[str, Sequence[Evidence]]]:
    for p in reading.passages:
        yield p.id, p.evidence
    for d in reading.descriptors:
        yield f"descriptor:{d.stage}:{d.term}", d.evidence
    for f in reading.facts.values():
        yield f"fact:{f.name}", f.evidence
    for s in reading.strength:
        yield f"strength:{s.stage}", s.evidence
    for score in reading.scores:
        yield f"score:{score.aspect}", score.evidence
    for pairing in reading.pairings:
        yield f"pairing:{pairing.kind}:{pairing.value}", pairing.evidence


def _data(reading: Reading, e: Evidence) -> dict[str, Any]:
    words = reading.transcript.text(e.first, e.last) if 0 <= e.first < e.last else ""
    return {"kind": e.kind, "detail": e.detail, "weight": round(e.weight, 3), "words": words}


def explain(directory: Path, review: Review, target: str) -> list[Explanation]:
    """The explanations of `target`: a passage id gives the passage and every value read from it; a fact's name, a
    flavour, an aspect or a full name gives that value.

    Raises InputError where nothing of that name is in the draft, OutputError where the evidence file is missing.
    """
    evidence = _load(directory)
    values = list(_values(review))
    wanted = _PRINTED.get(target.strip().lower(), target.strip().lower())
    chosen = [v for v in values if wanted in (v[0].lower(), v[2].lower(), *v[0].lower().split(":"))]
    if not chosen:
        raise InputError(f"The draft has nothing called {target!r}. Give a passage such as "
                         f"{review.passages[0].id if review.passages else 'p1'}, a flavour, a fact or an aspect.")
    return [
        Explanation(name, text, passage, _corrected(own) or tuple(_reason(r) for r in evidence.get(name, [])))
        for name, text, passage, own in chosen
    ]


def _corrected(own: Sequence[str]) -> tuple[Reason, ...]:
    """The reasons of a value that a reviewer set, or that was read from words they wrote anew; else none: the kept
    evidence is of the first reading."""
    if not own or not own[0].startswith(CORRECTED):
        return ()
    parts = [line.partition(": ") for line in own]
    return tuple(Reason(kind, detail, 0.0, "") for kind, _, detail in parts)


def _load(directory: Path) -> Mapping[str, list[dict[str, Any]]]:
    try:
        data: dict[str, list[dict[str, Any]]] = json.loads((directory / EVIDENCE).read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise OutputError(f"{directory / EVIDENCE} cannot be read. Make the draft again.") from error
    return data


def _values(review: Review) -> Iterator[tuple[str, str, str, Sequence[str]]]:
    """(name, value in words, passage, reasons in the review) of everything in the review."""
    for p in review.passages:
        stage = f", {p.stage}" if p.stage else ""
        yield p.id, f"{p.section}{stage} ({p.confidence:.0%} sure): {p.text}", p.id, p.evidence
    for d in review.descriptors:
        how = d.intensity or d.status
        yield f"descriptor:{d.stage}:{d.term}", f"{d.term} at {d.stage}: {how} — “{d.said}”", d.passage, d.evidence
    for name, f in review.facts.items():
        guess = " (guessed)" if f.guessed else ""
        yield f"fact:{name}", f"{name} = {f.value}{guess} — “{f.said}”", f.passage, f.evidence
    for stage, s in review.strength.items():
        yield f"strength:{stage}", f"strength {stage} = {s.low} to {s.high} — “{s.said}”", s.passage, s.evidence
    for score in review.scores:
        text = f"{score.aspect} {score.value} of {score.out_of} — “{score.said}”"
        yield f"score:{score.aspect}", text, score.passage, score.evidence
    for kind in ("drink", "food", "avoid"):
        for entry in getattr(review.pairings, kind):
            text = f"{kind}: {entry.value} — “{entry.said}”"
            yield f"pairing:{kind}:{entry.value}", text, entry.passage, entry.evidence


def _reason(data: Mapping[str, Any]) -> Reason:
    return Reason(str(data["kind"]), str(data["detail"]), float(data["weight"]), str(data.get("words", "")))
