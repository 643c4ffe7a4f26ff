"""Corrections of scores: one an aspect."""

from __future__ import annotations

from typing import Any

from voicedraft.correct.apply.rule import Deed, Prepared, at, dump, where, words_of
from voicedraft.correct.changes import ScoreAdd, ScoreEdit, ScoreRemove, ScoreValue
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.state import State
from voicedraft.draft.document import ScoreEntry

FIELDS = ("aspect", "value", "out_of")


def _index(state: State, aspect: str) -> int | None:
    return next((i for i, s in enumerate(state.scores) if s.aspect.lower() == aspect.lower()), None)


def _entry(state: State, aspect: str) -> ScoreEntry:
    i = _index(state, aspect)
    if i is None:
        raise CorrectionError(f"There is no score for {aspect} in the draft.")
    return state.scores[i]


def _plain(new: ScoreValue) -> dict[str, Any]:
    if new.value > new.out_of:
        raise CorrectionError(f"A score of {new.value:g} out of {new.out_of:g} is too high. Check the two numbers.")
    return {"aspect": " ".join(new.aspect.lower().split()), "value": new.value, "out_of": new.out_of}


def _refuse_twin(state: State, aspect: str) -> None:
    if _index(state, aspect) is not None:
        raise CorrectionError(f"{aspect} has a score already. Change that one instead.")


def prepare_add(state: State, change: ScoreAdd) -> Prepared:
    """A score that was said in the words pointed at."""
    first, last = words_of(state, change.source)
    new = _plain(change.new)
    _refuse_twin(state, new["aspect"])
    return Prepared({"key": [new["aspect"]], "at": at(state, first, last), "pointed": True}, {}, new)


def prepare_edit(state: State, change: ScoreEdit) -> Prepared:
    """Another value or aspect."""
    entry = _entry(state, change.aspect)
    new = _plain(change.new)
    if new["aspect"] != entry.aspect.lower():
        _refuse_twin(state, new["aspect"])
    return Prepared({"key": [entry.aspect], "at": at(state, *state.span(entry))}, dump(entry, *FIELDS), new)


def prepare_remove(state: State, change: ScoreRemove) -> Prepared:
    """A score that was not given."""
    entry = _entry(state, change.aspect)
    return Prepared({"key": [entry.aspect], "at": at(state, *state.span(entry))}, dump(entry, *FIELDS))


def put(state: State, deed: Deed) -> None:
    """Adds or changes the score."""
    i = _index(state, deed.target["key"][0])
    if i is None:
        i = _index(state, deed.new["aspect"])
    made = ScoreEntry(**where(state, deed, None if i is None else state.scores[i]), **deed.new)
    if i is None:
        state.scores.append(made)
    else:
        state.scores[i] = made
    state.take_out("score", deed.target["key"][0].lower())
    state.settle("score", deed.new["aspect"])


def remove(state: State, deed: Deed) -> None:
    """Takes the score out, where it is there."""
    i = _index(state, deed.target["key"][0])
    if i is not None:
        del state.scores[i]
    state.take_out("score", deed.target["key"][0].lower())
