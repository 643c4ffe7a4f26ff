"""Values that were read from rewritten words, as the correction of those words carries them."""

from __future__ import annotations

from typing import Any

from voicedraft.correct.anchors import Anchor, locate
from voicedraft.correct.apply.rule import Deed, quoted
from voicedraft.correct.state import State
from voicedraft.correct.values import MODELS, Key, by_key, drop, put, same

READ_ANEW = "words: read from the words as the reviewer wrote them"
NOT_READ = "words: written anew; the values here were read from the words before"


def take_up(state: State, deed: Deed, first: int, last: int) -> None:
    """Lays the values of a correction of words `[first, last)` over a state.

    What the reviewer set stays, and what they removed stays away unless the new words themselves say it. In another
    reading only values of the passages around are touched, and only where they say what they said then.
    """
    if deed.new.get("unread"):
        for part in state.within(first, last):
            part.look_first, part.evidence = True, (NOT_READ, *part.evidence)
        return
    parts = state.within(first, last)
    region = min(p.first for p in parts), max(p.last for p in parts)
    entries = by_key(state)
    for row in deed.new.get("read", ()):
        key: Key = tuple(str(x) for x in row["key"])
        if key in state.by_hand or (key in state.removed and not row.get("own")):
            continue
        entry = entries.get(key)
        here = entry is not None and _near(state.span(entry), region)
        if not deed.same and entry is not None and not here:
            continue
        if row["new"] is not None:
            _put(state, deed, key, row)
        elif entry is not None and (deed.same or same(key[0], entry.model_dump(mode="json"), row["old"])):
            drop(state, key)


def _near(span: tuple[int, int], region: tuple[int, int]) -> bool:
    return span[0] < region[1] and span[1] > region[0]


def _put(state: State, deed: Deed, key: Key, row: dict[str, Any]) -> None:
    found = locate(state, Anchor.model_validate(row["at"]), deed.same)
    if found is None:
        return
    where = {**quoted(state, *found), "evidence": (READ_ANEW, *row.get("evidence", ()))}
    put(state, key, MODELS[key[0]].model_validate({**row["new"], **where}))
