"""Corrections of words: writing them anew, and taking a repair back. What was heard is never changed."""

from __future__ import annotations

from voicedraft.correct.anchors import Anchor, locate
from voicedraft.correct.apply.passages import rewrite
from voicedraft.correct.apply.rule import Deed, Prepared, Unplaced, at, find, words_of
from voicedraft.correct.apply.taken import take_up
from voicedraft.correct.changes import Fix, Revert, Source
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.state import State, heard
from voicedraft.draft.document import Quoted


def prepare_fix(state: State, change: Fix) -> Prepared:
    """Words written anew."""
    first, last = words_of(state, Source(passage=change.passage, first=change.first, last=change.last))
    text = " ".join(change.text.split())
    if text == state.text(first, last):
        raise CorrectionError(f"“{text}” is what is written there already.")
    return Prepared({"passage": change.passage, "at": at(state, first, last)},
                    {"text": state.text(first, last)}, {"text": text})


def prepare_revert(state: State, change: Revert) -> Prepared:
    """Repairs taken back. Raises CorrectionError where nothing in the words was repaired."""
    first, last = words_of(state, Source(passage=change.passage, first=change.first, last=change.last))
    for repair in state.repairs:
        if repair.first_word < last and repair.last_word > first:
            first, last = min(first, repair.first_word), max(last, repair.last_word)
    if state.text(first, last) == state.heard(first, last):
        raise CorrectionError("These words are printed as they were heard; there is no repair to take back.")
    return Prepared({"passage": change.passage, "at": at(state, first, last)},
                    {"text": state.text(first, last)}, {"text": state.heard(first, last)})


def fix(state: State, deed: Deed) -> None:
    """Writes the words. Where another reading heard the right ones by itself, nothing is to do."""
    text = str(deed.new["text"])
    found = find(state, deed, kept=1.0)
    if found is None:
        right = Anchor.model_validate({**deed.target["at"], "words": tuple(text.split())})
        if locate(state, right, False, kept=1.0) is not None:
            return
        raise Unplaced("the words that were written anew are not in this reading")
    _write(state, *found, text)
    take_up(state, deed, *found)


def revert(state: State, deed: Deed) -> None:
    """Prints what was heard."""
    found = find(state, deed, kept=1.0)
    if found is None:
        raise Unplaced("the repaired words are not in this reading")
    first, last = found
    before = state.text(first, last)
    for i in range(first, last):
        word = state.words[i]
        state.words[i] = word.model_copy(update={"text": heard(word), "heard": None})
    _after(state, first, last, before)
    take_up(state, deed, first, last)


def _write(state: State, first: int, last: int, text: str) -> None:
    before = state.text(first, last)
    tokens = text.split()
    count = last - first
    for k in range(count):
        word = state.words[first + k]
        own = tokens[k : k + 1] if k < count - 1 else tokens[count - 1 :]
        new = " ".join(own)
        old = heard(word)
        state.words[first + k] = word.model_copy(update={"text": new, "heard": old if old != new else None})
    _after(state, first, last, before)


def _after(state: State, first: int, last: int, before: str) -> None:
    """Repairs in the range are settled now, and values quote the new words."""
    state.repairs = [r for r in state.repairs if r.first_word >= last or r.last_word <= first]
    parts = state.within(first, last)
    state.touch(parts)
    ids, after = {p.id for p in parts}, state.text(first, last)

    def requote(value: Quoted) -> Quoted:
        if value.passage not in ids or not before or before not in value.said:
            return value
        start, end = state.span(value)
        if start >= last or end <= first:
            return value
        return value.model_copy(update={"said": value.said.replace(before, after, 1)})

    rewrite(state, requote)
