"""What the kinds of correction share: the shape of a rule, anchors in and out of events, and the words of a value."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, TypeVar

from voicedraft.correct.anchors import KEPT, Anchor, anchor, locate
from voicedraft.correct.changes import Source
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.state import State
from voicedraft.draft.document import Quoted

BY_HAND = "correction: set by the reviewer"


class Unplaced(Exception):
    """An event names words or a value that this reading does not have. Its text is the reason, in one sentence."""


@dataclass(frozen=True, slots=True)
class Prepared:
    """What goes into an event."""

    target: dict[str, Any]
    old: dict[str, Any] = field(default_factory=dict)
    new: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Deed:
    """An event about to be made on a state. `same`: the state's reading is the one that the event was made on."""

    what: str
    target: dict[str, Any]
    old: dict[str, Any]
    new: dict[str, Any]
    same: bool


@dataclass(frozen=True, slots=True)
class Rule:
    """`prepare(state, change)` raises CorrectionError; `apply(state, deed)` raises Unplaced."""

    prepare: Callable[[State, Any], Prepared]
    apply: Callable[[State, Deed], None]


def at(state: State, first: int, last: int) -> dict[str, Any]:
    """An anchor as it is written in an event."""
    return anchor(state, first, last).model_dump(mode="json")


def find(state: State, deed: Deed, kept: float = KEPT) -> tuple[int, int] | None:
    """The words of an event's anchor in a state, or None where it has none or they are gone."""
    raw = deed.target.get("at")
    return locate(state, Anchor.model_validate(raw), deed.same, kept) if raw else None


def words_of(state: State, source: Source) -> tuple[int, int]:
    """The word range that a person pointed at. Raises CorrectionError where the passage has no such words."""
    part = state.part(source.passage)
    first = part.first if source.first is None else part.first + source.first
    last = part.last if source.last is None else part.first + source.last
    if not part.first <= first < last <= part.last:
        raise CorrectionError(
            f"Passage {source.passage} has {part.last - part.first} words; {source.first} to {source.last} is no part "
            "of them. Choose words of the passage."
        )
    return first, last


def quoted(state: State, first: int, last: int) -> dict[str, Any]:
    """The fields of `Quoted` for a value that a person set on words `[first, last)`."""
    return {
        "passage": state.at_word(first).id, "said": state.text(first, last), "start": state.words[first].start,
        "end": state.words[last - 1].end, "evidence": (BY_HAND,),
    }


V = TypeVar("V", bound=Quoted)


def where(state: State, deed: Deed, entry: Quoted | None) -> dict[str, Any]:
    """The words of a value that is put: the event's own words where the person pointed at some or the value is not
    there yet, else those it has. Raises Unplaced where neither exists."""
    found = find(state, deed)
    if found and (deed.target.get("pointed") or entry is None):
        return quoted(state, *found)
    if entry is None:
        raise Unplaced("the words it was said in are not in this reading")
    return {"passage": entry.passage, "said": entry.said, "start": entry.start, "end": entry.end,
            "evidence": (BY_HAND,)}


def dump(entry: Quoted, *keys: str) -> dict[str, Any]:
    """Fields of an entry as plain data, for an event's `old`."""
    data = entry.model_dump(mode="json")
    return {k: data[k] for k in keys}
