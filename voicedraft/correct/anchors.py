"""Anchors: where a correction was made, told by the words themselves, so that it finds its place in a later reading.

Within the reading it was made on, an anchor is its word positions. In any other reading the heard words are aligned
(difflib), near the same time first and over the whole session where that fails; a word counts as the same when it is
written the same but for case, accents and punctuation, or nearly so (rapidfuzz).
"""

from __future__ import annotations

import difflib
import unicodedata
from bisect import bisect_left
from collections.abc import Sequence

from pydantic import BaseModel, ConfigDict, Field
from rapidfuzz import fuzz

from voicedraft.correct.state import State, heard

NEIGHBOURS = 5
"""Words kept on either side of an anchor; enough to tell two places apart that hold the same words."""
NEAR_S = 25.0
"""A later reading looks this far around the old time first: word times of two models differ by far less."""
SAME_WORD = 75.0
"""rapidfuzz ratio (0 to 100) from which two words at the same place count as one word heard twice; chosen on the
misspellings of the fixture in tests/test_journal.py, where other words at the same place stay below 60."""
KEPT = 0.6
"""Share of an anchor's words that must still exist for a passage to count as the same."""


class Anchor(BaseModel):
    """Words `[first, last)` of the reading they were seen in, what was heard there, and what stood on either side."""

    model_config = ConfigDict(frozen=True)

    first: int = Field(ge=0)
    last: int = Field(ge=1)
    start: float = Field(ge=0)
    end: float = Field(ge=0)
    words: tuple[str, ...]
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()


def anchor(state: State, first: int, last: int) -> Anchor:
    """The anchor of words `[first, last)` of a state."""
    def said(low: int, high: int) -> tuple[str, ...]:
        return tuple(token for token, _ in tokens(state, max(low, 0), high))

    return Anchor(
        first=first, last=last, start=state.words[first].start, end=state.words[last - 1].end, words=said(first, last),
        before=said(first - NEIGHBOURS, first), after=said(last, last + NEIGHBOURS),
    )


def tokens(state: State, low: int, high: int) -> list[tuple[str, int]]:
    """(heard word, place) of words `[low, high)`. A repair may hold several heard words in one place, or none."""
    return [(t, i) for i, w in enumerate(state.words[low:high], start=low) for t in heard(w).split()]


def fold(word: str) -> str:
    """A word without case, accents and punctuation."""
    plain = unicodedata.normalize("NFKD", word).encode("ascii", "ignore").decode().lower()
    return "".join(c for c in plain if c.isalnum())


def locate(state: State, where: Anchor, same_reading: bool, kept: float = KEPT) -> tuple[int, int] | None:
    """Word range of an anchor in a state, or None where its words no longer exist.

    `kept`: the share of its words, 0 to 1, that must still be there.
    """
    if same_reading:
        return (where.first, where.last) if where.last <= len(state.words) else None
    starts = [w.start for w in state.words]
    low, high = bisect_left(starts, where.start - NEAR_S), bisect_left(starts, where.end + NEAR_S)
    return _align(state, where, low, high, kept) or _align(state, where, 0, len(state.words), max(kept, 0.8))


def _align(state: State, where: Anchor, low: int, high: int, kept: float) -> tuple[int, int] | None:
    """The anchor's place among words `[low, high)`."""
    core = [fold(w) for w in where.words]
    wanted = [fold(w) for w in where.before] + core + [fold(w) for w in where.after]
    there = tokens(state, low, high)
    if not there or not any(core):
        return None
    pairs = {i: there[j][1] for i, j in _pairs(wanted, [fold(t) for t, _ in there]).items()}
    lead = len(where.before)
    found = [pairs[i] for i in range(lead, lead + len(core)) if i in pairs]
    if not found or len(found) < kept * len(core):
        return None
    first, last = found[0], found[-1] + 1
    if last - first > 2 * len(core) + 2:
        return None
    if lead not in pairs and lead - 1 in pairs:
        first = max(pairs[lead - 1] + 1, first - 2)
    end = lead + len(core)
    if end - 1 not in pairs and end in pairs:
        last = min(pairs[end], last + 2)
    return first, max(last, first + 1)


def _pairs(wanted: Sequence[str], there: Sequence[str]) -> dict[int, int]:
    """Place in `wanted` → place in `there` of every word that is the same in both, in order."""
    pairs: dict[int, int] = {}
    matcher = difflib.SequenceMatcher(None, wanted, there, autojunk=False)
    for tag, i1, i2, j1, j2 in matcher.get_opcodes():
        if tag == "equal":
            pairs.update(zip(range(i1, i2), range(j1, j2), strict=True))
        elif tag == "replace":
            pairs.update(_nearly(wanted, there, (i1, i2), (j1, j2)))
    return pairs


def _nearly(
    wanted: Sequence[str], there: Sequence[str], left: tuple[int, int], right: tuple[int, int]
) -> list[tuple[int, int]]:
    """Words of two unequal stretches that are nearly the same, in order."""
    out: list[tuple[int, int]] = []
    j = right[0]
    for i in range(*left):
        scores = [(fuzz.ratio(wanted[i], there[k]), k) for k in range(j, right[1])]
        best = max(scores, default=(0.0, -1), key=lambda s: (s[0], -s[1]))
        if best[0] >= SAME_WORD:
            out.append((i, best[1]))
            j = best[1] + 1
    return out
