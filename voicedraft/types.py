"""The frozen values that pass from room to room: record → hear → read → draft → correct → publish → library.

Times are float seconds from the start of the session's first take; a gap in the clock between takes is kept.
Word positions are indices into `Transcript.words`; ranges are half-open, `[first, last)`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal

Section = Literal[
    "background", "appearance", "prelight", "first_third", "second_third", "final_third",
    "burn", "palate", "value", "verdict", "pairings", "aside",
]
Stage = Literal["prelight", "first", "second", "final", "after"]
DescriptorStage = Literal["wrapper", "foot", "cold_draw", "first", "second", "final", "room"]
Status = Literal["present", "fading", "gone", "absent"]
Intensity = Literal["hint", "light", "medium", "strong", "dominant"]
PairingKind = Literal["drink", "food", "avoid"]

SECTIONS: tuple[Section, ...] = (
    "background", "appearance", "prelight", "first_third", "second_third", "final_third",
    "burn", "palate", "value", "verdict", "pairings", "aside",
)
STAGES: tuple[Stage, ...] = ("prelight", "first", "second", "final", "after")
DESCRIPTOR_STAGES: tuple[DescriptorStage, ...] = ("wrapper", "foot", "cold_draw", "first", "second", "final", "room")
STATUSES: tuple[Status, ...] = ("present", "fading", "gone", "absent")
INTENSITIES: tuple[Intensity, ...] = ("hint", "light", "medium", "strong", "dominant")


@dataclass(frozen=True, slots=True)
class Word:
    """One spoken word with its punctuation as printed. `heard` is what the recogniser wrote and never changes."""

    text: str
    start: float
    end: float
    take: int
    """Number of the take, from 1."""
    heard: str = ""
    probability: float | None = None
    """The recogniser's own probability, 0 to 1; None where the source gives none (a transcript)."""


@dataclass(frozen=True, slots=True)
class Repair:
    """Words `[first, last)` of the transcript, set right where sound and context both say so. Reversible."""

    first: int
    last: int
    heard: str
    text: str
    reason: str
    confidence: float


@dataclass(frozen=True, slots=True)
class Take:
    """One recording of a session. `start` and `end` are session seconds."""

    number: int
    start: float
    end: float
    source: str
    """File name, without folder."""
    clock: datetime | None = None
    digest: str = ""
    """SHA-256 of the file's bytes."""


@dataclass(frozen=True, slots=True)
class Transcript:
    """Everything that was said, word by word, in order. `words` are sorted by take, then time."""

    words: tuple[Word, ...]
    takes: tuple[Take, ...]
    repairs: tuple[Repair, ...] = ()
    model: str = ""
    """The speech model that heard it, or "" for a transcript read from a file."""

    def text(self, first: int, last: int) -> str:
        """The printed words of `[first, last)` joined by blanks."""
        return " ".join(w.text for w in self.words[first:last])


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reason for a value: which kind of rule, what it saw, how much it weighed, and the words it saw."""

    kind: str
    """cue, lexicon, place, vector, grammar, number, model, correction …"""
    detail: str
    weight: float = 0.0
    """Weight in the decision, in log-odds where a model weighs it; 0 where a rule decides alone."""
    first: int = -1
    last: int = -1

    def __str__(self) -> str:
        return f"{self.kind}: {self.detail}"


@dataclass(frozen=True, slots=True)
class Passage:
    """Words `[first, last)` of one take, with the section and stage that they belong to."""

    id: str
    take: int
    first: int
    last: int
    section: Section
    stage: Stage | None
    confidence: float
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Descriptor:
    """A flavour or aroma said of this cigar. One entry per term and stage; the speaker's latest word wins."""

    term: str
    family: str
    stage: DescriptorStage
    status: Status
    intensity: Intensity | None
    """None unless status is present."""
    passage: str
    first: int
    last: int
    said: str
    confidence: float = 1.0
    evidence: tuple[Evidence, ...] = ()
    other_spans: tuple[tuple[int, int], ...] = ()
    """Further places where the same was said."""


@dataclass(frozen=True, slots=True)
class Strength:
    """Strength of one third on mild 1, mild-medium 2, medium 3, medium-full 4, full 5, as a range."""

    stage: Literal["first", "second", "final"]
    low: int
    high: int
    passage: str
    first: int
    last: int
    said: str
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class OtherValue:
    """Another value said for a fact, with its own words."""

    value: Any
    passage: str
    first: int
    last: int
    said: str


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact of the cigar or of the session. `value` has the shape that the document gives for `name`."""

    name: str
    value: Any
    passage: str
    first: int
    last: int
    said: str
    guessed: bool = False
    others: tuple[Any, ...] = ()
    """Sizes or prices of the rest of the line, or earlier values that the speaker took back."""
    others_said: tuple[OtherValue, ...] = ()
    """The same with the words that each was said in, in the same order."""
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Score:
    """A score that the speaker gave. `aspect` is "overall" for the final score."""

    aspect: str
    value: float
    out_of: float
    passage: str
    first: int
    last: int
    said: str
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Pairing:
    """A drink or food that the speaker would have with it, or would keep away from it."""

    kind: PairingKind
    value: str
    passage: str
    first: int
    last: int
    said: str
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """What was understood of a transcript. Every value carries its passage and word span."""

    transcript: Transcript
    passages: tuple[Passage, ...]
    descriptors: tuple[Descriptor, ...] = ()
    strength: tuple[Strength, ...] = ()
    facts: Mapping[str, Fact] = field(default_factory=dict)
    scores: tuple[Score, ...] = ()
    pairings: tuple[Pairing, ...] = ()
