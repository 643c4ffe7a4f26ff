"""Corrections of strength: one range a third."""

from __future__ import annotations

from voicedraft.correct.apply.rule import Deed, Prepared, at, dump, where, words_of
from voicedraft.correct.changes import StrengthClear, StrengthSet
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.state import State
from voicedraft.draft.document import StrengthEntry


def prepare_set(state: State, change: StrengthSet) -> Prepared:
    """A range. Raises CorrectionError where it runs backwards, or has no words to lead back to."""
    if change.low > change.high:
        raise CorrectionError(f"A strength from {change.low} to {change.high} runs backwards. Lower end first.")
    entry = state.strength.get(change.stage)
    if entry is None and change.source is None:
        raise CorrectionError("A strength needs the words it was said in. Choose the passage or words first.")
    span = words_of(state, change.source) if change.source else state.span(_there(entry))
    return Prepared({"key": [change.stage], "at": at(state, *span), "pointed": change.source is not None},
                    dump(entry, "low", "high") if entry else {}, {"low": change.low, "high": change.high})


def prepare_clear(state: State, change: StrengthClear) -> Prepared:
    """A range that was not said."""
    entry = state.strength.get(change.stage)
    if entry is None:
        raise CorrectionError(f"There is no strength for the {change.stage} third in the draft.")
    return Prepared({"key": [change.stage], "at": at(state, *state.span(entry))}, dump(entry, "low", "high"))


def _there(entry: StrengthEntry | None) -> StrengthEntry:
    if entry is None:
        raise CorrectionError("There is no such strength in the draft.")
    return entry


def put(state: State, deed: Deed) -> None:
    """Sets the range."""
    (stage,) = deed.target["key"]
    state.strength[stage] = StrengthEntry(**where(state, deed, state.strength.get(stage)), **deed.new)
    state.settle("strength", stage)


def remove(state: State, deed: Deed) -> None:
    """Takes the range out, where it is there."""
    state.strength.pop(deed.target["key"][0], None)
    state.take_out("strength", deed.target["key"][0])
