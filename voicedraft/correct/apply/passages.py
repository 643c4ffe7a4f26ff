"""Corrections of passages: section and stage, aside, split, merge, accept."""

from __future__ import annotations

from collections.abc import Callable

from voicedraft.correct.anchors import Anchor, locate
from voicedraft.correct.apply.rule import BY_HAND, Deed, Prepared, Unplaced, at, find
from voicedraft.correct.changes import Accept, Aside, Label, Merge, Split
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.state import Part, State
from voicedraft.draft.document import Quoted

THIRDS = ("first", "second", "final")
SMALLEST_CUT = 3
"""A later reading's passage is cut at the edge of a corrected one only where at least this many words fall on each
side; fewer is a difference in how the two readings end a sentence."""


def _label_of(part: Part) -> dict[str, str | None]:
    return {"section": part.section, "stage": part.stage}


def _prepared(state: State, part: Part, new: dict[str, str | None]) -> Prepared:
    return Prepared({"passage": part.id, "at": at(state, part.first, part.last)}, _label_of(part), dict(new))


def prepare_label(state: State, change: Label) -> Prepared:
    """Another section and stage for a passage."""
    return _prepared(state, state.part(change.passage), {"section": change.section, "stage": change.stage})


def prepare_aside(state: State, change: Aside) -> Prepared:
    """A passage that is left out of the review."""
    return _prepared(state, state.part(change.passage), {"section": "aside", "stage": None})


def prepare_accept(state: State, change: Accept) -> Prepared:
    """A passage that a person found right."""
    part = state.part(change.passage)
    return _prepared(state, part, _label_of(part))


def prepare_split(state: State, change: Split) -> Prepared:
    """A cut before a word of a passage. Raises CorrectionError where that leaves one side without words."""
    part = state.part(change.passage)
    cut = part.first + change.at
    if not part.first < cut < part.last:
        raise CorrectionError(
            f"Passage {part.id} has {part.last - part.first} words and cannot be split before word {change.at + 1}."
        )
    target = {"passage": part.id, "word": cut, "at": at(state, cut - 1, cut + 1)}
    return Prepared(target, {}, {"id": _free_id(state, part.id), "text": state.text(cut, min(cut + 4, part.last))})


def prepare_merge(state: State, change: Merge) -> Prepared:
    """A passage joined with the next. Raises CorrectionError at the end of a take."""
    i = state.index(change.passage)
    part = state.parts[i]
    following = state.parts[i + 1] if i + 1 < len(state.parts) else None
    if following is None or following.take != part.take:
        raise CorrectionError(f"Passage {part.id} is the last of its take and has nothing to be merged with.")
    target = {"passage": part.id, "with": following.id, "at": at(state, part.first, following.last)}
    return Prepared(target, {"word": following.first, **_label_of(following)}, _label_of(part))


def _free_id(state: State, passage: str) -> str:
    taken = {p.id for p in state.parts}
    stem = passage.split("-")[0]
    return next(f"{stem}-{n}" for n in range(2, len(taken) + 3) if f"{stem}-{n}" not in taken)


def _places(state: State, deed: Deed) -> list[Part]:
    """The passages that an event's words make up now; passages of another reading are cut to fit."""
    found = find(state, deed)
    if found is None:
        raise Unplaced("the words of the passage are not in this reading")
    first, last = found
    if not deed.same:
        for edge in (first, last):
            _cut_at(state, edge)
    inside = _mostly_within(state, first, last)
    if not inside:
        raise Unplaced("its words lie within a longer passage of this reading")
    return inside


def _mostly_within(state: State, first: int, last: int) -> list[Part]:
    """Passages with more than half of their words in `[first, last)`."""
    return [p for p in state.within(first, last) if 2 * (min(p.last, last) - max(p.first, first)) > p.last - p.first]


def _cut_at(state: State, word: int) -> None:
    if not 0 < word < len(state.words):
        return
    part = state.at_word(word)
    if part.first + SMALLEST_CUT <= word <= part.last - SMALLEST_CUT:
        _cut(state, part, word, _free_id(state, part.id))


def _settle_by_hand(part: Part, note: str) -> None:
    part.confidence, part.look_first, part.by_hand, part.evidence = 1.0, False, True, (note,)


def label(state: State, deed: Deed) -> None:
    """Sets section and stage. What was read from the passage of its old third moves to the new third with it."""
    for part in _places(state, deed):
        before = part.stage
        part.section, part.stage = deed.new["section"], deed.new["stage"]
        _settle_by_hand(part, BY_HAND)
        state.touch([part])
        if before != part.stage and before in THIRDS and part.stage in THIRDS:
            _move_values(state, part, str(before), str(part.stage))


def _move_values(state: State, part: Part, before: str, after: str) -> None:
    taken = {(d.stage, d.term.lower()) for d in state.descriptors}
    for i, d in enumerate(state.descriptors):
        if d.passage == part.id and d.stage == before and (after, d.term.lower()) not in taken:
            state.descriptors[i] = d.model_copy(update={"stage": after})
    for stage in [s for s, said in state.strength.items() if said.passage == part.id and s != after]:
        said = state.strength.pop(stage)
        there = state.strength.get(after)
        if there is None or there.start <= said.start:
            state.strength[after] = said


def accept(state: State, deed: Deed) -> None:
    """Marks a passage as looked at. In a later reading that reads it otherwise, the accepted section holds."""
    for part in _places(state, deed):
        part.section, part.stage = deed.new["section"], deed.new["stage"]
        _settle_by_hand(part, "correction: accepted by the reviewer")
        state.touch([part])


def split(state: State, deed: Deed) -> None:
    """Parts a passage. Where another reading parts it there already, nothing is to do."""
    if deed.same:
        cut = int(deed.target["word"])
    else:
        found = locate(state, Anchor.model_validate(deed.target["at"]), False, kept=1.0)
        if found is None:
            raise Unplaced("the two words that it parted are not in this reading")
        cut = found[1] - 1
    part = state.at_word(cut)
    if part.first == cut:
        return
    wanted = str(deed.new["id"])
    free = all(p.id != wanted for p in state.parts)
    _cut(state, part, cut, wanted if free else _free_id(state, part.id))


def _cut(state: State, part: Part, word: int, new_id: str) -> None:
    moved = _spans(state, part.id, lambda first: first >= word)
    second = Part(new_id, part.take, word, part.last, part.section, part.stage, part.confidence, part.evidence,
                  part.look_first, part.by_hand)
    part.last = word
    state.parts.insert(state.parts.index(part) + 1, second)
    state.touch([part])
    _rehome(state, moved, new_id)


def merge(state: State, deed: Deed) -> None:
    """Joins the passages that the event's words make up. Where another reading has them in one, nothing is to do."""
    found = find(state, deed)
    if found is None:
        raise Unplaced("the words of the two passages are not in this reading")
    inside = _mostly_within(state, *found)
    inside = [p for p in inside if p.take == inside[0].take]
    for part in inside[1:]:
        moved = _spans(state, part.id, lambda first: True)
        inside[0].last = part.last
        state.parts.remove(part)
        _rehome(state, moved, inside[0].id)
    if inside:
        state.touch(inside[:1])


def _spans(state: State, passage: str, wanted: Callable[[int], bool]) -> set[int]:
    """Identities of the values of a passage whose first word is wanted."""
    return {id(v) for v in values(state) if v.passage == passage and wanted(state.span(v)[0])}


def _rehome(state: State, moved: set[int], passage: str) -> None:
    rewrite(state, lambda v: v.model_copy(update={"passage": passage}) if id(v) in moved else v)


def values(state: State) -> list[Quoted]:
    """Every value of a state."""
    return [*state.descriptors, *state.strength.values(), *state.facts.values(), *state.scores,
            *(e for _, e in state.pairings)]


def rewrite(state: State, change: Callable[[Quoted], Quoted]) -> None:
    """Puts `change(value)` in the place of every value; it gives a value of the same kind back."""
    state.descriptors = [change(d) for d in state.descriptors]  # type: ignore[misc]
    state.strength = {k: change(v) for k, v in state.strength.items()}  # type: ignore[misc]
    state.facts = {k: change(v) for k, v in state.facts.items()}  # type: ignore[misc]
    state.scores = [change(s) for s in state.scores]  # type: ignore[misc]
    state.pairings = [(k, change(e)) for k, e in state.pairings]  # type: ignore[misc]
