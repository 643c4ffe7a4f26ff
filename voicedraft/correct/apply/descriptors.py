"""Corrections of flavours: added, changed, removed. One entry a term and stage."""

from __future__ import annotations

from typing import Any

from voicedraft.correct.apply.rule import Deed, Prepared, at, dump, where, words_of
from voicedraft.correct.changes import DescriptorAdd, DescriptorEdit, DescriptorKey, DescriptorRemove, DescriptorValue
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.state import State
from voicedraft.draft.compose import MAGNITUDE
from voicedraft.draft.document import DescriptorEntry
from voicedraft.lexicon import load_lexicon

FIELDS = ("term", "stage", "status", "intensity", "family")
UNKNOWN_FAMILY = "other"


def family_of(term: str) -> str:
    """The lexicon's family of a term, of its last words, or "other"."""
    lexicon = load_lexicon()
    words = term.lower().split()
    for i in range(len(words)):
        family = lexicon.family(" ".join(words[i:]))
        if family:
            return family
    return UNKNOWN_FAMILY


def _index(state: State, stage: str, term: str) -> int | None:
    key = (stage, term.lower())
    return next((i for i, d in enumerate(state.descriptors) if (d.stage, d.term.lower()) == key), None)


def _entry(state: State, key: DescriptorKey) -> DescriptorEntry:
    i = _index(state, key.stage, key.term)
    if i is None:
        raise CorrectionError(f"There is no {key.term} at stage {key.stage} in the draft.")
    return state.descriptors[i]


def _plain(new: DescriptorValue, family: str = "") -> dict[str, Any]:
    term = " ".join(new.term.lower().split())
    intensity = (new.intensity or "medium") if new.status == "present" else None
    return {"term": term, "stage": new.stage, "status": new.status, "intensity": intensity,
            "family": new.family.strip().lower() or family or family_of(term)}


def _refuse_twin(state: State, new: dict[str, Any]) -> None:
    if _index(state, new["stage"], new["term"]) is not None:
        raise CorrectionError(f"{new['term']} is there at stage {new['stage']} already. Change that entry instead.")


def prepare_add(state: State, change: DescriptorAdd) -> Prepared:
    """A flavour that was said in the words pointed at."""
    first, last = words_of(state, change.source)
    new = _plain(change.new)
    _refuse_twin(state, new)
    return Prepared({"key": [new["stage"], new["term"]], "at": at(state, first, last), "pointed": True}, {}, new)


def prepare_edit(state: State, change: DescriptorEdit) -> Prepared:
    """An entry with other values."""
    entry = _entry(state, change.key)
    same_term = entry.term.lower() == change.new.term.strip().lower()
    new = _plain(change.new, entry.family if same_term else "")
    if (new["stage"], new["term"]) != (entry.stage, entry.term.lower()):
        _refuse_twin(state, new)
    return Prepared({"key": [entry.stage, entry.term], "at": at(state, *state.span(entry))}, dump(entry, *FIELDS), new)


def prepare_remove(state: State, change: DescriptorRemove) -> Prepared:
    """An entry that should not be there."""
    entry = _entry(state, change.key)
    return Prepared({"key": [entry.stage, entry.term], "at": at(state, *state.span(entry))},
                    {**dump(entry, *FIELDS), "said": entry.said})


def put(state: State, deed: Deed) -> None:
    """Adds the entry, or changes it; where another reading lacks it and has its words, it is added."""
    stage, term = deed.target["key"]
    new = deed.new
    i = _index(state, stage, term)
    if i is None:
        i = _index(state, new["stage"], new["term"])
    entry = None if i is None else state.descriptors[i]
    made = DescriptorEntry(**where(state, deed, entry), **new, confidence=1.0,
                           magnitude=MAGNITUDE[new["intensity"]] if new["intensity"] else None)
    twin = _index(state, new["stage"], new["term"])
    if i is None:
        state.descriptors.append(made)
        state.descriptors.sort(key=lambda d: d.start)
    else:
        state.descriptors[i] = made
        if twin is not None and twin != i:
            del state.descriptors[twin]
    state.take_out("descriptor", stage, term.lower())
    state.settle("descriptor", new["stage"], new["term"])


def remove(state: State, deed: Deed) -> None:
    """Takes the entry out. Where another reading does not have it, nothing is to do."""
    i = _index(state, *deed.target["key"])
    if i is not None:
        del state.descriptors[i]
    stage, term = deed.target["key"]
    state.take_out("descriptor", stage, term.lower())
