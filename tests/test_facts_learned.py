"""The learned part of the facts: weights, what goes together, and which value stands."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.tiny import reading
from voicedraft.errors import ModelError
from voicedraft.lexicon import load_lexicon
from voicedraft.read.analysis import analyse
from voicedraft.read.facts import read_facts
from voicedraft.read.facts.candidates import Candidate, candidates
from voicedraft.read.facts.context import Session, session
from voicedraft.read.facts.kin import kin, worth
from voicedraft.read.facts.model import load, save
from voicedraft.read.facts.roles import ROLES
from voicedraft.read.facts.seen import Seen
from voicedraft.read.facts.signs import LISTS
from voicedraft.read.facts.telling import KINDS
from voicedraft.read.facts.together import Weighed, best_of
from voicedraft.read.sign_weights import SignWeights
from voicedraft.read.vectors import DIMENSIONS
from voicedraft.train.acts import Sentence, fit_acts
from voicedraft.train.facts import Studied, fit


def _spoken(*texts: str) -> Session:
    told = reading([(text, "value", None) for text in texts])
    return session(analyse(told.transcript), told.passages, load_lexicon())


def _money(*texts: str) -> list[Candidate]:
    return [c for c in candidates(_spoken(*texts)) if c.kind == "money"]


def test_weights_are_read_as_they_were_written_and_the_same_bytes_come_again(tmp_path: Path) -> None:
    """Saving and loading changes nothing; equal weights give equal files."""
    along = np.linspace(-1, 1, DIMENSIONS, dtype=np.float32)
    weights = SignWeights(
        {"price_single": {"": -1.5, "section=value": 2.25}, "ring_gauge": {"": 0.5}}, {"price_single": along}
    )
    save(weights, tmp_path / "a.zip")
    save(weights, tmp_path / "b.zip")
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    assert load(tmp_path / "a.zip").roles == weights.roles
    assert load(tmp_path / "a.zip").vectors["price_single"] == pytest.approx(along, abs=0.005)
    assert load(tmp_path / "a.zip").weigh("price_single", ["section=value", "never seen"]) == pytest.approx(0.75)


def test_broken_weights_are_named(tmp_path: Path) -> None:
    """A file that is no weights raises an error with its name and what to do."""
    (tmp_path / "facts.zip").write_bytes(b"nothing")
    with pytest.raises(ModelError, match=r"facts\.zip cannot be read .*train facts"):
        load(tmp_path / "facts.zip")


def _seen(sign: str) -> Seen:
    return Seen(_money("It's twelve dollars.")[0], (sign,), None)


def test_fitting_learns_which_sign_tells_a_price() -> None:
    """Where the same sign always stands at the right amount, it gains weight, and its rival loses."""
    told = ((_seen("each"), True), (_seen("next door"), False))
    weights = fit([Studied({"price_single": (told,)}) for _ in range(8)])
    assert weights.roles["price_single"]["each"] > 0 > weights.roles["price_single"]["next door"]


def test_fitting_learns_along_the_vectors() -> None:
    """Candidates alike in their signs are told apart by what the encoder made of their words."""
    right, wrong = (replace(_seen("said"), vector=np.eye(DIMENSIONS, dtype=np.float32)[i]) for i in (0, 1))
    weights = fit([Studied({"price_single": (((right, True), (wrong, False)),)}) for _ in range(8)])
    odds = [weights.weigh("price_single", one.signs, one.vector) for one in (right, wrong)]
    assert odds[0] > 0
    assert odds[0] > odds[1] + 1


def test_fitting_learns_what_tells_of_an_act() -> None:
    """A word that stands in sentences of a touch-up weighs for one, and one beside them against."""
    vector = np.zeros(DIMENSIONS, np.float32)
    told = [Sentence(("w torch",), vector, {"touch_up": "one"}), Sentence(("w wave",), vector, {"touch_up": ""})] * 9
    signs, _ = fit_acts(told)
    assert signs["touch_up one"]["w torch"] > 0 > signs["touch_up one"]["w wave"]


def test_an_act_in_words_of_no_list_is_counted_by_the_weights() -> None:
    """Weights that know a sentence's words find the touch-up that no rule reads."""
    told = reading([("I had a quiet word with the wonky bit.", "burn", "second")])
    analysis = analyse(told.transcript)
    nothing = SignWeights({f"{kind} {tells}": {"": -5.0} for kind, all_ in KINDS.items() for tells in all_})
    knowing = SignWeights({**nothing.roles, "touch_up one": {"": -5.0, "w wonky": 15.0}})
    assert "touch_ups" not in read_facts(analysis, told.passages, load_lexicon(), nothing)
    assert read_facts(analysis, told.passages, load_lexicon(), knowing)["touch_ups"].value == 1


def test_filler_leaves_told_in_pieces_come_together() -> None:
    """A leaf named in a later sentence joins the rules' list where the weights give it to the filler."""
    told = reading([
        ("The filler is Nicaraguan.", "background", None), ("Peruvian goes with it, a little.", "background", None),
    ])
    weights = SignWeights({"filler": {"": 3.0}})
    facts = read_facts(analyse(told.transcript), told.passages, load_lexicon(), weights)
    assert facts["filler"].value == ["Nicaraguan", "Peruvian"]


def test_a_line_named_later_joins_its_maker() -> None:
    """A name that the weights are sure of joins the rules' own; one that shares a word with it adds nothing."""
    told = reading([
        ("It's made by Pellew Brothers.", "background", None), ("Anyhow.", "aside", None), ("Right.", "aside", None),
        ("Right.", "aside", None), ("Right.", "aside", None), ("They call this one Long Reach.", "background", None),
    ])
    weights = SignWeights({"cigar": {"": 5.0}})
    facts = read_facts(analyse(told.transcript), told.passages, load_lexicon(), weights)
    assert facts["cigar"].value == "Pellew Brothers Long Reach"


def test_many_lists_looked_up_at_once_are_found_as_one_by_one() -> None:
    """The index of all lists says of each line what each list says by itself."""
    lines = _spoken("I said six weeks, but it's eight.", "The box of ten is two hundred.", "No, wait, last week's one.")
    for line in lines.lines:
        held = line.words.index(LISTS).held(line.tokens)
        assert held == {path for path in LISTS if line.has(path)}


def test_the_value_of_a_price_is_compared_with_all_others() -> None:
    """Twelve goes exactly into two hundred and forty twenty times; eleven into no box."""
    told = _money("It's twelve dollars.", "That one's eleven dollars.", "The box is 240 dollars.")
    twelve, eleven, box = (next(c for c in told if c.value == value) for value in (12, 11, 240))
    all_ = kin([twelve, eleven, box])
    assert "goes into another exactly" in worth(all_, 0)
    assert "goes into another exactly" not in worth(all_, 1)
    assert "holds another exactly" in worth(all_, 2)


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
    empty = SignWeights({role.name: {"": -9.0} for role in ROLES})
    assert read_facts(analyse(told.transcript), told.passages, load_lexicon(), empty) == {}
