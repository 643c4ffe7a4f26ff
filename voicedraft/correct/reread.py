"""Values read again after words were written anew.

The readers of `voicedraft.read` go over the whole session, before and after, with sections and stages as the reviewer
left them; what differs near the rewritten words goes into the correction itself. So a replay needs no model and gives
the same draft, and taking the correction back takes its values back.
"""

from __future__ import annotations

import hashlib
import threading
from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from voicedraft.correct.apply.rule import at
from voicedraft.correct.state import State, heard
from voicedraft.correct.values import SAID, Key, by_key, same
from voicedraft.draft.compose import EVIDENCE_SHOWN, compose
from voicedraft.draft.document import Quoted
from voicedraft.lexicon import load_lexicon
from voicedraft.paths import user_lexicon
from voicedraft.read import Weights, read_values
from voicedraft.read.analysis import Analysis, looked_at
from voicedraft.read.sentences import split
from voicedraft.types import Passage, Reading, Take, Transcript, Word

QUOTED = frozenset({"passage", "said", "start", "end", "evidence", "evolution"})


@dataclass(frozen=True, slots=True)
class Found:
    """One value as read: its fields, why, and the words `[first, last)` of the state."""

    fields: dict[str, Any]
    evidence: tuple[str, ...]
    first: int
    last: int

    def near(self, low: int, high: int) -> bool:
        """Whether its words share one with `[low, high)`."""
        return self.first < high and self.last > low


class Reader:
    """Reads the values of a state. Grammar and vectors of a sentence are kept as long as the sentence stands."""

    def __init__(self) -> None:
        self._sentences: dict[str, tuple[Any, Any]] = {}
        self._last: tuple[_Seen, dict[Key, Found]] | None = None
        self._lock = threading.Lock()

    def read(self, state: State, about: tuple[int, int] | None = None) -> Mapping[Key, Found]:
        """Every value. `about`: only those near these words matter, so that passages elsewhere may have got another
        section since the words were last read.

        Raises ModelError where a language model is missing, LexiconError on a malformed lexicon.
        """
        with self._lock:
            seen = _Seen.of(state)
            if self._last is None or not self._last[0].serves(seen, about):
                self._last = (seen, self._read(state))
            return self._last[1]

    def _read(self, state: State) -> dict[Key, Found]:
        transcript, places = transcript_of(state)
        if not transcript.words:
            return {}
        passages = tuple(
            Passage(p.id, p.take, bisect_left(places, p.first), bisect_left(places, p.last), p.section, p.stage,
                    p.confidence)
            for p in state.parts if bisect_left(places, p.first) < bisect_left(places, p.last)
        )
        analysis, lexicon = self._analyse(transcript), load_lexicon(user_lexicon())
        return dict(_found(read_values(analysis, passages, lexicon, Weights()), places))

    def _analyse(self, transcript: Transcript) -> Analysis:
        sentences = split(transcript)
        texts = list(dict.fromkeys(s.text for s in sentences))
        fresh = [t for t in texts if t not in self._sentences]
        made = dict(zip(fresh, zip(*looked_at(fresh), strict=True), strict=True))
        self._sentences = {t: made[t] if t in made else self._sentences[t] for t in texts}
        both = [self._sentences[s.text] for s in sentences]
        return Analysis(transcript, sentences, tuple(d for d, _ in both), tuple(e for _, e in both))


@dataclass(frozen=True, slots=True)
class _Seen:
    """What a reading was made from: all words, and the passages with their labels."""

    words: str
    parts: tuple[tuple[Any, ...], ...]

    @classmethod
    def of(cls, state: State) -> _Seen:
        words = "\n".join(w.text for w in state.words).encode("utf-8", "replace")
        return cls(hashlib.sha256(words).hexdigest(),
                   tuple((p.first, p.last, p.id, p.section, p.stage) for p in state.parts))

    def serves(self, other: _Seen, about: tuple[int, int] | None) -> bool:
        """Whether the reading still holds, for all or for the passages of the words that matter."""
        if about is None or self.words != other.words:
            return self == other
        low, high = about
        return [p for p in self.parts if p[0] < high and p[1] > low] == [
            p for p in other.parts if p[0] < high and p[1] > low]


def transcript_of(state: State) -> tuple[Transcript, list[int]]:
    """The words as they stand now, one token a word, and the place in the state of each.

    Words that a repair left empty are not among them; the tokens written into one place share its time.
    """
    words: list[Word] = []
    places: list[int] = []
    for p in state.parts:
        for i in range(p.first, p.last):
            entry = state.words[i]
            tokens = entry.text.split()
            step = (entry.end - entry.start) / max(len(tokens), 1)
            for k, token in enumerate(tokens):
                start = entry.start + k * step
                words.append(Word(token, start, start + step, p.take, heard(entry), entry.probability))
                places.append(i)
    takes = tuple(Take(t.number, t.start, t.end, t.source) for t in state.base.takes)
    return Transcript(tuple(words), takes, model=state.base.source.model), places


def _found(reading: Reading, places: list[int]) -> Iterable[tuple[Key, Found]]:
    review = compose(replace(reading, passages=()))
    pairs = [(p, e) for kind in ("drink", "food", "avoid") for p, e in zip(
        [p for p in reading.pairings if p.kind == kind], getattr(review.pairings, kind), strict=True)]
    rows: list[tuple[Key, Any, Quoted]] = [
        *((("descriptor", d.stage, d.term.lower()), d, e)
          for d, e in zip(reading.descriptors, review.descriptors, strict=True)),
        *((("strength", s.stage), s, review.strength[s.stage]) for s in reading.strength),
        *((("fact", f.name), f, review.facts[f.name]) for f in reading.facts.values()),
        *((("score", s.aspect.lower()), s, e) for s, e in zip(reading.scores, review.scores, strict=True)),
        *((("pairing", p.kind, p.value.lower()), p, e) for p, e in pairs),
    ]
    for key, value, entry in rows:
        yield key, Found(entry.model_dump(mode="json", exclude=set(QUOTED)), entry.evidence[: EVIDENCE_SHOWN - 1],
                         places[value.first], places[value.last - 1] + 1)


def changes(reader: Reader, before: State, after: State, first: int, last: int) -> list[dict[str, Any]]:
    """What the readers make of words `[first, last)` as written anew: one row a value that comes, changes or goes.

    before, after: the draft without and with the new words. Raises as `Reader.read`.
    """
    was, now = reader.read(before, (first, last)), reader.read(after)
    parts = after.within(first, last)
    low, high = min(p.first for p in parts), max(p.last for p in parts)
    entries = by_key(before)
    rows: list[dict[str, Any]] = []
    for key in sorted({*was, *now, *entries}):
        entry = entries.get(key)
        row = _change(key, was.get(key), now.get(key), _standing(before, entry), (first, last), (low, high))
        if row is None:
            continue
        found = now.get(key)
        if found is not None:
            row |= {"at": at(after, found.first, found.last), "evidence": list(found.evidence),
                    "own": found.near(first, last)}
        rows.append({**row, "kept": key in after.by_hand or (key in after.removed and not row.get("own"))})
    return rows


def _standing(state: State, entry: Quoted | None) -> Found | None:
    """A value that stands in the draft, as if read."""
    if entry is None:
        return None
    return Found(entry.model_dump(mode="json", exclude=set(QUOTED)), (), *state.span(entry))


def _change(
    key: Key, was: Found | None, now: Found | None, entry: Found | None, words: tuple[int, int], region: tuple[int, int]
) -> dict[str, Any] | None:
    """The row of one key, or None where nothing is to do: what the new words do not touch stays as it stands."""
    quotes = entry is not None and entry.near(*words)
    if not quotes and (_agree(key, was, now) or not any(f is not None and f.near(*region) for f in (was, now))):
        return None
    if now is None:
        if entry is None or not entry.near(*region):
            return None
        return {"key": list(key), "old": _said(key, entry), "new": None}
    if entry is not None and same(key[0], entry.fields, now.fields) and (not quotes or now.near(*words)):
        return None
    return {"key": list(key), "old": _said(key, entry) if entry else None, "new": now.fields}


def _agree(key: Key, one: Found | None, other: Found | None) -> bool:
    if one is None or other is None:
        return one is other
    return same(key[0], one.fields, other.fields)


def _said(key: Key, entry: Found) -> dict[str, Any]:
    return {f: entry.fields.get(f) for f in SAID[key[0]]}
