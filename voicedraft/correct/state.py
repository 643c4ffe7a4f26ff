"""The draft while it is being corrected: words once, passages as ranges over them, and the values read from them.

`State.of(review).review()` gives the same review back. Word positions are indices over the whole session and, as the
heard words never change, mean the same for as long as the reading is the same.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from voicedraft.correct.errors import CorrectionError
from voicedraft.draft.document import (
    DescriptorEntry,
    FactEntry,
    PairingEntry,
    PassageEntry,
    Quoted,
    RepairEntry,
    Review,
    ScoreEntry,
    StrengthEntry,
    WordEntry,
)
from voicedraft.types import PairingKind, Section, Stage

SLACK_S = 0.0015
"""Times are written to the millisecond; a word belongs to a span when it lies within it by this much."""


@dataclass(slots=True)
class Part:
    """One passage: words `[first, last)`. `by_hand`: a person set or accepted it. `entry`: its document entry while
    nothing in it has changed."""

    id: str
    take: int
    first: int
    last: int
    section: Section
    stage: Stage | None
    confidence: float
    evidence: tuple[str, ...] = ()
    look_first: bool = False
    by_hand: bool = False
    entry: PassageEntry | None = None


@dataclass(slots=True)
class State:
    """Mutable; one correction at a time is applied to it."""

    base: Review
    words: list[WordEntry]
    parts: list[Part]
    repairs: list[RepairEntry]
    descriptors: list[DescriptorEntry]
    strength: dict[str, StrengthEntry]
    facts: dict[str, FactEntry]
    scores: list[ScoreEntry]
    pairings: list[tuple[PairingKind, PairingEntry]]
    by_hand: set[tuple[str, ...]] = field(default_factory=set)
    """Keys of values that a person added or set: an aside does not drop these."""
    removed: set[tuple[str, ...]] = field(default_factory=set)
    """Keys of values that a person took out."""

    @classmethod
    def of(cls, review: Review) -> State:
        """The state of a reading before any correction. Raises CorrectionError where a passage carries no words."""
        words: list[WordEntry] = []
        parts: list[Part] = []
        for p in review.passages:
            if not p.words:
                raise CorrectionError(f"Passage {p.id} carries no words. Make the draft again with this version.")
            parts.append(Part(p.id, p.take, len(words), len(words) + len(p.words), p.section, p.stage, p.confidence,
                              p.evidence, p.look_first, entry=p))
            words += p.words
        kinds: tuple[PairingKind, ...] = ("drink", "food", "avoid")
        return cls(
            base=review, words=words, parts=parts, repairs=[r for p in review.passages for r in p.repairs],
            descriptors=list(review.descriptors), strength={str(k): v for k, v in review.strength.items()},
            facts=dict(review.facts), scores=list(review.scores),
            pairings=[(kind, e) for kind in kinds for e in getattr(review.pairings, kind)],
        )

    # Finding things

    def part(self, passage: str) -> Part:
        """The passage of that id. Raises CorrectionError where there is none."""
        return self.parts[self.index(passage)]

    def index(self, passage: str) -> int:
        """Place of the passage of that id. Raises CorrectionError where there is none."""
        for i, part in enumerate(self.parts):
            if part.id == passage:
                return i
        raise CorrectionError(f"There is no passage {passage}. Look at the draft again: it may have been merged.")

    def at_word(self, word: int) -> Part:
        """The passage that holds a word."""
        i = bisect_right([p.first for p in self.parts], word) - 1
        return self.parts[i]

    def within(self, first: int, last: int) -> list[Part]:
        """Passages that share a word with `[first, last)`."""
        return [p for p in self.parts if p.first < last and p.last > first]

    def span(self, entry: Quoted) -> tuple[int, int]:
        """Word range `[first, last)` of a value: the words of its passage's take between its times."""
        part = next((p for p in self.parts if p.id == entry.passage), None)
        low, high = (0, len(self.words)) if part is None else self._take_range(part.take)
        starts = [w.start for w in self.words[low:high]]
        first = low + bisect_left(starts, entry.start - SLACK_S)
        last = low + bisect_left(starts, max(entry.end - SLACK_S, entry.start + SLACK_S))
        first = min(first, len(self.words) - 1)
        return first, max(last, first + 1)

    def _take_range(self, take: int) -> tuple[int, int]:
        parts = [p for p in self.parts if p.take == take]
        return parts[0].first, parts[-1].last

    def text(self, first: int, last: int) -> str:
        """The words of a range as printed."""
        return " ".join(w.text for w in self.words[first:last] if w.text)

    def heard(self, first: int, last: int) -> str:
        """The words of a range as the recogniser wrote them."""
        return " ".join(h for h in (heard(w) for w in self.words[first:last]) if h)

    def touch(self, parts: Iterable[Part]) -> None:
        """These passages have changed: their document entries are made anew."""
        for part in parts:
            part.entry = None

    def settle(self, *key: str) -> None:
        """A person set the value of that key."""
        self.by_hand.add(key)
        self.removed.discard(key)

    def take_out(self, *key: str) -> None:
        """A person took the value of that key out."""
        self.removed.add(key)
        self.by_hand.discard(key)

    # Back to a document

    def entries(self) -> tuple[PassageEntry, ...]:
        """The passages as document entries; unchanged ones are the same objects as before."""
        for part in self.parts:
            if part.entry is None:
                part.entry = self._entry(part)
        return tuple(p.entry for p in self.parts if p.entry is not None)

    def _entry(self, part: Part) -> PassageEntry:
        words = self.words[part.first : part.last]
        return PassageEntry(
            id=part.id, take=part.take, start=words[0].start, end=words[-1].end, text=self.text(part.first, part.last),
            heard=self.heard(part.first, part.last), section=part.section, stage=part.stage,
            confidence=part.confidence, evidence=part.evidence, look_first=part.look_first, words=tuple(words),
            repairs=tuple(r for r in self.repairs if part.first <= r.first_word < part.last),
        )

    def clone(self) -> State:
        """An independent copy; entries are frozen and shared."""
        return replace(
            self, words=list(self.words), parts=[replace(p) for p in self.parts], repairs=list(self.repairs),
            descriptors=list(self.descriptors), strength=dict(self.strength), facts=dict(self.facts),
            scores=list(self.scores), pairings=list(self.pairings), by_hand=set(self.by_hand),
            removed=set(self.removed),
        )


def heard(word: WordEntry) -> str:
    """What the recogniser wrote for a word ("" for a word that a repair added)."""
    return word.text if word.heard is None else word.heard

