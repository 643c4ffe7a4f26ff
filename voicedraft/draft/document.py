"""The review document, `review.json`: the pydantic models that its JSON Schema is generated from.

Times are seconds from the start of the session's first take. An absent key means: not said. Strength runs mild 1,
mild-medium 2, medium 3, medium-full 4, full 5. Ring gauge is 1/64 inch (common practice, no source).
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from voicedraft.types import DescriptorStage, Intensity, Section, Stage, Status

SCHEMA_VERSION = 1


class _Model(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


Seconds = Annotated[float, Field(ge=0, description="seconds from the start of the session's first take")]


class Quoted(_Model):
    """Where a value comes from: its passage, the words and when they were spoken."""

    passage: str
    said: str = Field(description="the words that it was read from")
    start: Seconds
    end: Seconds
    evidence: tuple[str, ...] = ()


class TakeEntry(_Model):
    number: int = Field(ge=1)
    start: Seconds
    end: Seconds
    source: str = Field(description="file name of the recording or transcript")
    clock: str | None = Field(default=None, description="ISO 8601 time at which the take starts, where known")
    digest: str = Field(default="", description="SHA-256 of the file")


class RepairEntry(_Model):
    """Misheard words set right. The heard words stay in the passage's `heard`."""

    heard: str
    text: str
    reason: str
    confidence: float = Field(ge=0, le=1)
    first_word: int = Field(ge=0)
    last_word: int = Field(ge=0)


class WordEntry(_Model):
    """One word, so that a line can be played and corrected to the word."""

    text: str
    start: Seconds
    end: Seconds
    heard: str | None = Field(default=None, description="only where it differs from text")
    probability: float | None = None


class PassageEntry(_Model):
    id: str
    take: int = Field(ge=1)
    start: Seconds
    end: Seconds
    text: str
    heard: str = Field(description="as the recogniser wrote it")
    section: Section
    stage: Stage | None
    confidence: float = Field(ge=0, le=1)
    evidence: tuple[str, ...] = ()
    look_first: bool = Field(default=False, description="the reviewer should look at this one first")
    words: tuple[WordEntry, ...] = ()
    repairs: tuple[RepairEntry, ...] = ()


class DescriptorEntry(Quoted):
    term: str
    family: str
    stage: DescriptorStage
    status: Status
    intensity: Intensity | None = None
    magnitude: float | None = Field(
        default=None, ge=0, le=100,
        description="place on the general labeled magnitude scale (Green et al. 1993, Bartoshuk et al. 2004)",
    )
    evolution: Literal["new", "steady", "rising", "fading", "gone", "returned"] | None = Field(
        default=None, description="computed against the stage before"
    )
    confidence: float = Field(default=1.0, ge=0, le=1)


class StrengthEntry(Quoted):
    low: int = Field(ge=1, le=5)
    high: int = Field(ge=1, le=5)


class Money(_Model):
    amount: float
    currency: str = Field(description="ISO 4217 code")


class BoxPrice(_Model):
    low: float
    high: float
    count: int | None = Field(default=None, description="cigars in the box, where said")
    currency: str


class OtherEntry(_Model):
    """Another value said for a fact, leading to its own words."""

    value: Any
    passage: str
    said: str
    start: Seconds
    end: Seconds


class FactEntry(Quoted):
    value: Any
    guessed: bool = Field(default=False, description="the speaker's guess: kept apart, never printed as a fact")
    others: tuple[Any, ...] = Field(default=(), description="sizes and prices of the rest of the line")
    others_said: tuple[OtherEntry, ...] = Field(
        default=(), description="the same with the words that each was said in, in the same order"
    )


class ScoreEntry(Quoted):
    aspect: str
    value: float
    out_of: float


class PairingEntry(Quoted):
    value: str


class Pairings(_Model):
    drink: tuple[PairingEntry, ...] = ()
    food: tuple[PairingEntry, ...] = ()
    avoid: tuple[PairingEntry, ...] = ()


class Source(_Model):
    """What the draft was made from and with."""

    program: str
    model: str = ""
    inputs: tuple[str, ...] = ()


class Review(_Model):
    """The whole draft. Every value leads back to a passage, and a passage to its sound."""

    schema_version: Literal[1] = 1
    source: Source
    takes: tuple[TakeEntry, ...]
    passages: tuple[PassageEntry, ...]
    descriptors: tuple[DescriptorEntry, ...] = ()
    strength: dict[Literal["first", "second", "final"], StrengthEntry] = Field(default_factory=dict)
    facts: dict[str, FactEntry] = Field(default_factory=dict)
    scores: tuple[ScoreEntry, ...] = ()
    pairings: Pairings = Pairings()
    not_mentioned: tuple[str, ...] = Field(default=(), description="what a review usually has and nobody said here")
    caution: str = ""


def json_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of `review.json`, as published in the repository."""
    schema = Review.model_json_schema(mode="serialization")
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "voicedraft review"
    return schema
