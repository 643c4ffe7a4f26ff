"""Corrections of pairings: to drink, to eat, to leave aside."""

from __future__ import annotations

from voicedraft.correct.apply.rule import Deed, Prepared, at, where, words_of
from voicedraft.correct.changes import PairingAdd, PairingEdit, PairingKey, PairingRemove
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.state import State
from voicedraft.draft.document import PairingEntry
from voicedraft.types import PairingKind


def _index(state: State, kind: str, value: str) -> int | None:
    key = (kind, value.lower())
    return next((i for i, (k, e) in enumerate(state.pairings) if (k, e.value.lower()) == key), None)


def _entry(state: State, key: PairingKey) -> PairingEntry:
    i = _index(state, key.kind, key.value)
    if i is None:
        raise CorrectionError(f"There is no {key.value} among what to {_verb(key.kind)} in the draft.")
    return state.pairings[i][1]


def _verb(kind: PairingKind) -> str:
    return {"drink": "drink", "food": "eat", "avoid": "leave aside"}[kind]


def _plain(key: PairingKey) -> dict[str, str]:
    return {"kind": key.kind, "value": " ".join(key.value.split())}


def _refuse_twin(state: State, new: dict[str, str]) -> None:
    if _index(state, new["kind"], new["value"]) is not None:
        raise CorrectionError(f"{new['value']} is there already.")


def prepare_add(state: State, change: PairingAdd) -> Prepared:
    """A drink or food that was said in the words pointed at."""
    first, last = words_of(state, change.source)
    new = _plain(change.new)
    _refuse_twin(state, new)
    return Prepared({"key": [new["kind"], new["value"]], "at": at(state, first, last), "pointed": True}, {}, new)


def prepare_edit(state: State, change: PairingEdit) -> Prepared:
    """Another name, or another kind."""
    entry = _entry(state, change.key)
    new = _plain(change.new)
    if (new["kind"], new["value"].lower()) != (change.key.kind, change.key.value.lower()):
        _refuse_twin(state, new)
    return Prepared({"key": [change.key.kind, entry.value], "at": at(state, *state.span(entry))},
                    {"kind": change.key.kind, "value": entry.value}, new)


def prepare_remove(state: State, change: PairingRemove) -> Prepared:
    """A pairing that was not meant."""
    entry = _entry(state, change.key)
    return Prepared({"key": [change.key.kind, entry.value], "at": at(state, *state.span(entry))},
                    {"kind": change.key.kind, "value": entry.value})


def put(state: State, deed: Deed) -> None:
    """Adds or changes the pairing."""
    i = _index(state, *deed.target["key"])
    if i is None:
        i = _index(state, deed.new["kind"], deed.new["value"])
    entry = None if i is None else state.pairings[i][1]
    made = (deed.new["kind"], PairingEntry(**where(state, deed, entry), value=deed.new["value"]))
    if i is None:
        state.pairings.append(made)
    else:
        state.pairings[i] = made
    kind, value = deed.target["key"]
    state.take_out("pairing", kind, value.lower())
    state.settle("pairing", deed.new["kind"], deed.new["value"].lower())


def remove(state: State, deed: Deed) -> None:
    """Takes the pairing out, where it is there."""
    i = _index(state, *deed.target["key"])
    if i is not None:
        del state.pairings[i]
    kind, value = deed.target["key"]
    state.take_out("pairing", kind, value.lower())
