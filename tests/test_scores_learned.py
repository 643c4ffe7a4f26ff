"""The learned part of the scores: weights, scales, and which mark of an aspect stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tiny import reading
from voicedraft.errors import ModelError
from voicedraft.lexicon import load_lexicon
from voicedraft.read.analysis import analyse
from voicedraft.read.scores import read_scores, word_lists
from voicedraft.read.scores.line import Line, lines
from voicedraft.read.scores.model import MARK, SCALE, TOP, load
from voicedraft.read.scores.seen import see
from voicedraft.read.sign_weights import SignWeights, save
from voicedraft.train import gold_files
from voicedraft.train.scores import Studied, fit

SURE = {"": 9.0}


def _lines(*texts: str) -> list[Line]:
    told = reading([(text, "verdict", "after") for text in texts])
    return lines(analyse(told.transcript), told.passages)


def _read(weights: SignWeights, *texts: str) -> dict[str, tuple[float, float]]:
    told = reading([(text, "verdict", "after") for text in texts])
    found = read_scores(analyse(told.transcript), told.passages, load_lexicon(), weights)
    return {s.aspect: (s.value, s.out_of) for s in found}


def test_weights_are_read_as_they_were_written_and_the_same_bytes_come_again(tmp_path: Path) -> None:
    """Saving and loading changes nothing; equal weights give equal files."""
    weights = SignWeights({MARK: {"": -1.5, "points": 2.25}, TOP: {"": 0.5}, SCALE: {"own": 1.0}})
    save(weights, tmp_path / "a.zip")
    save(weights, tmp_path / "b.zip")
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
    assert load(tmp_path / "a.zip").roles == weights.roles


def test_broken_weights_are_named(tmp_path: Path) -> None:
    """A file that is no weights raises an error with its name and what to do."""
    (tmp_path / "scores.zip").write_bytes(b"nothing")
    with pytest.raises(ModelError, match=r"scores\.zip cannot be read .*train scores"):
        load(tmp_path / "scores.zip")


def test_no_held_back_session_is_fitted_on() -> None:
    """The score weights are made from sessions of which none is held back."""
    files = gold_files("scores")
    assert files
    assert all(f.parent.name in ("sessions", "own", "short", "marks") for f in files)


def test_without_a_scale_that_was_said_no_score_is_given_however_sure_the_mark() -> None:
    """A scale is never made up."""
    weights = SignWeights({MARK: SURE, TOP: SURE, SCALE: SURE})
    assert _read(weights, "I'd rate it eighty-nine.") == {}


def test_a_mark_that_the_weights_refuse_is_not_given() -> None:
    """Where neither signs nor rules speak for a number, it is no score."""
    said = "It has been ninety minutes out of a hundred and twenty."
    assert _read(SignWeights({MARK: {"": -9.0}, TOP: SURE, SCALE: SURE}), said) == {}


def test_no_mark_stands_on_a_scale_that_is_too_short_for_it() -> None:
    """Sixteen is not out of ten, whatever else was said to be out of ten."""
    weights = SignWeights({MARK: SURE, TOP: SURE, SCALE: SURE})
    found = _read(weights, "Draw is eight out of ten.", "The burn gets sixteen.")
    assert all(value <= out_of for value, out_of in found.values())
    assert found["draw"] == (8, 10)


def test_a_number_is_seen_with_every_aspect_named_about_it_and_with_the_whole() -> None:
    """The draw before it, the burn after it, and the whole cigar, which needs no naming."""
    seen = see(_lines("Draw nine out of ten, burn seven."), word_lists(load_lexicon()))
    of_nine = {p.aspect for p in seen.pairs if seen.marks[p.mark].value == 9}
    assert {"draw", "burn", "overall"} <= of_nine


def test_the_fit_learns_whose_mark_a_number_is() -> None:
    """From pieces in which the aspect stands before its number, a new piece of that kind is read."""
    words = word_lists(load_lexicon())
    told = [
        (f"Out of ten then. {one} {a}, {two} {b}.", ((one.lower(), va, 10.0), (two.lower(), vb, 10.0)))
        for one, two in (("Draw", "burn"), ("Balance", "finish"), ("Aroma", "taste"), ("Burn", "draw"))
        for a, va, b, vb in (("nine", 9.0, "six", 6.0), ("seven", 7.0, "eight", 8.0))
    ]
    weights = fit([Studied(see(_lines(*text.split(". ")), words), scores) for text, scores in told])
    assert _read(weights, "Out of ten then", "Complexity five, flavour seven.") == {
        "complexity": (5, 10), "flavour": (7, 10),
    }
