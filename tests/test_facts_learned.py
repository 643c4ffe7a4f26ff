"""The learned part of the facts: weights, what goes together, and which value stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tiny import reading
from voicedraft.errors import ModelError
from voicedraft.lexicon import load_lexicon
from voicedraft.read.analysis import analyse
from voicedraft.read.facts import read_facts
from voicedraft.read.facts.candidates import Candidate, candidates
from voicedraft.read.facts.context import Session, session
from voicedraft.read.facts.model import FactWeights, load, save
from voicedraft.read.facts.roles import ROLES
from voicedraft.read.facts.together import Weighed, best_of
from voicedraft.train.facts import Studied, fit


def _spoken(*texts: str) -> Session:
    told = reading([(text, "value", None) for text in texts])
    return session(analyse(told.transcript), told.passages, load_lexicon())


def _money(*texts: str) -> list[Candidate]:
    return [c for c in candidates(_spoken(*texts)) if c.kind == "money"]


def test_weights_are_read_as_they_were_written_and_the_same_bytes_come_again(tmp_path: Path) -> None:
    """Saving and loading changes nothing; equal weights give equal files."""
    weights = FactWeights({"price_single": {"": -1.5, "section=value": 2.25}, "ring_gauge": {"": 0.5}})
    save(weights, tmp_path / "a.zip")
    save(weights, tmp_path / "b.zip")
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    assert load(tmp_path / "a.zip").roles == weights.roles
    assert load(tmp_path / "a.zip").weigh("price_single", ["section=value", "never seen"]) == pytest.approx(0.75)


def test_broken_weights_are_named(tmp_path: Path) -> None:
    """A file that is no weights raises an error with its name and what to do."""
    (tmp_path / "facts.zip").write_bytes(b"nothing")
    with pytest.raises(ModelError, match=r"facts\.zip cannot be read .*train facts"):
        load(tmp_path / "facts.zip")


def test_fitting_learns_which_sign_tells_a_price() -> None:
    """Where the same sign always stands at the right amount, it gains weight, and its rival loses."""
    told = ((("each",), True), (("next door",), False))
    empty = {role.name: () for role in ROLES}
    studied = [Studied({**empty, "price_single": (told,)}) for _ in range(8)]
    weights = fit(studied)
    assert weights.roles["price_single"]["each"] > 0 > weights.roles["price_single"]["next door"]


def test_the_price_of_one_is_the_amount_that_goes_into_the_box() -> None:
    """Of two amounts equally likely, the one whose count times makes the box's price is taken."""
    eight, ten, *_, box = _money("Eight dollars here, ten dollars there.", "The box of twenty is 200 dollars.")
    count = next(c for c in candidates(_spoken("The box of twenty is 200 dollars.")) if c.kind == "count")
    none: dict[str, list[Weighed]] = {role.name: [] for role in ROLES}
    told = none | {
        "price_single": [Weighed(eight, 1.0, ()), Weighed(ten, 1.0, ())], "price_box": [Weighed(box, 2.0, ())],
        "box_count": [Weighed(count, 3.0, ())],
    }
    chosen = best_of(told)["price_single"]
    assert chosen is not None
    assert chosen.candidate.value == 10.0


def test_without_weights_nothing_is_stated_that_the_rules_alone_did_not_read() -> None:
    """Weights that know nothing add no value of their own."""
    told = reading([("Somebody mentioned seventy-one once.", "value", None)])
    empty = FactWeights({role.name: {"": -9.0} for role in ROLES})
    assert read_facts(analyse(told.transcript), told.passages, load_lexicon(), empty) == {}
