"""The project's own figures agree with the reference definition, whatever the review."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pytest
import score as reference

from tests.conftest import GOLD
from voicedraft.evaluate import figures
from voicedraft.types import SECTIONS, STAGES

OWN_NAMES = {"windowdiff", "pk"}


def _review(gold: dict[str, Any]) -> dict[str, Any]:
    """A perfect review of a gold session, as JSON data."""
    passages = [
        {"id": f"p{n}", "start": float(n), "heard": s["t"], "text": s["t"], "section": s["section"],
         "stage": s["stage"]}
        for n, s in enumerate(s for t in gold["takes"] for s in t["sentences"])
    ]
    facts = {}
    for name, (theirs, factor, _) in figures.FACTS.items():
        if name in gold["facts"]:
            value = gold["facts"][name]
            facts[theirs] = {"value": value * factor if isinstance(value, (int, float)) else value}
    return {
        "passages": passages, "descriptors": [dict(d) for d in gold["descriptors"]], "facts": facts,
        "strength": {k: {"low": v[0], "high": v[1]} for k, v in gold["strength"].items()},
        "scores": [dict(s) for s in gold["scores"]],
        "pairings": {k: [{"value": x} for x in v] for k, v in gold["pairings"].items()},
    }


def _spoilt(review: dict[str, Any], rng: random.Random) -> dict[str, Any]:
    """The same with every kind of mistake in it."""
    review = json.loads(json.dumps(review))
    for p in review["passages"]:
        if rng.random() < 0.2:
            p["section"] = rng.choice(SECTIONS)
        if rng.random() < 0.2:
            p["stage"] = rng.choice((None, *STAGES))
        if rng.random() < 0.1:
            p["heard"] = " ".join(w for w in p["heard"].split() if rng.random() < 0.8) + " er"
    for d in review["descriptors"]:
        d["status"] = rng.choice(("present", "fading", "gone", "absent")) if rng.random() < 0.2 else d["status"]
        d["intensity"] = rng.choice(("hint", "light", "medium")) if rng.random() < 0.3 else d.get("intensity")
        d["term"] = rng.choice((d["term"].split()[-1], "old " + d["term"])) if rng.random() < 0.2 else d["term"]
        d["stage"] = rng.choice(("first", "foot")) if rng.random() < 0.1 else d["stage"]
    review["descriptors"] = [d for d in review["descriptors"] if rng.random() < 0.9] + [
        {"term": "moon dust", "stage": "first", "status": "present", "intensity": "light"}
    ]
    for name in list(review["facts"]):
        if rng.random() < 0.2:
            del review["facts"][name]
        elif rng.random() < 0.2:
            review["facts"][name]["guessed"] = True
    review["strength"] = {k: {"low": 1, "high": v["high"]} for k, v in review["strength"].items()}
    review["scores"] = [*review["scores"][1:], {"aspect": "hat", "value": 3, "out_of": 4}]
    review["pairings"]["drink"] = ["seawater", *review["pairings"].get("drink", [])[1:]]
    return review


@pytest.mark.parametrize("path", GOLD, ids=lambda p: p.stem)
@pytest.mark.parametrize("seed", [0, 1])
def test_figures_of_spoilt_reviews_agree_with_the_reference(path: Path, seed: int) -> None:
    """Source: tests/reference/score.py, which defines the figures and shares no code with the program."""
    gold = json.loads(path.read_text(encoding="utf-8"))
    review = _spoilt(_review(gold), random.Random(seed))
    ours, theirs = figures.score(gold, review), reference.score(gold, review)
    for part, counts in theirs.items():
        for name, value in counts.items():
            if name in ("confusions", "wrong", "absent_terms"):
                continue
            assert ours[part][name] == value, (part, name)
    pooled = reference.total([theirs])
    assert {k: v for k, v in figures.total([ours]).items() if k not in OWN_NAMES} == pooled
    assert pooled["sections"] < 0.95, "the review was not spoilt"


def test_a_perfect_review_scores_full_marks(gold_sessions: list[dict[str, Any]]) -> None:
    """A review that says what the gold says has nothing wrong in it."""
    total = figures.total([figures.score(g, _review(g)) for g in gold_sessions])
    assert total.pop("windowdiff") == total.pop("pk") == total.pop("said_contrary") == total.pop("invented") == 0
    assert set(total.values()) == {1.0}


def test_an_empty_review_scores_nothing(gold_sessions: list[dict[str, Any]]) -> None:
    """Silence is not rewarded, but nothing is invented by it."""
    total = figures.total([figures.score(g, {}) for g in gold_sessions])
    assert total["descriptor_f1"] == total["facts"] == total["strength"] == 0
    assert total["invented"] == total["said_contrary"] == 0
