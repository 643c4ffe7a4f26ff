"""The kinds of correction as a person asks for them: one pydantic model each, told apart by `what`.

Positions of words are offsets within the passage as it stands now. The journal turns them into anchors on the words.
"""

from __future__ import annotations

import unicodedata
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

from voicedraft.types import DescriptorStage, Intensity, PairingKind, Section, Stage, Status


def printable(text: str) -> str:
    """A text without control characters or halves of characters. Raises ValueError where there are any."""
    if any(unicodedata.category(c) in ("Cc", "Cs") for c in text.replace("\n", " ").replace("\t", " ")):
        raise ValueError("holds characters that cannot be printed")
    return text


Plain = Annotated[str, AfterValidator(printable)]
Text = Annotated[Plain, Field(min_length=1, max_length=200, pattern=r"\S")]
PassageId = Annotated[str, Field(min_length=1, max_length=60)]
Offset = Annotated[int, Field(ge=0, le=100_000)]
Third = Literal["first", "second", "final"]
FactName = Literal[
    "cigar", "vitola", "length_mm", "ring_gauge", "wrapper", "binder", "filler", "country", "price_single", "price_box",
    "storage_rh_pct", "rest_days", "smoking_minutes", "relights", "touch_ups",
]


class _Change(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Source(_Change):
    """The words that a value is said in: words `[first, last)` of a passage, or the whole passage."""

    passage: PassageId
    first: Offset | None = None
    last: Offset | None = None


class Label(_Change):
    """Give a passage another section and stage."""

    what: Literal["passage.label"]
    passage: PassageId
    section: Section
    stage: Stage | None = None


class Aside(_Change):
    """Leave a passage out of the review: it is kept in the transcript, and what was read from it is dropped."""

    what: Literal["passage.aside"]
    passage: PassageId


class Split(_Change):
    """Part a passage before word `at`."""

    what: Literal["passage.split"]
    passage: PassageId
    at: Annotated[int, Field(ge=1, le=100_000)]


class Merge(_Change):
    """Join a passage with the one after it. Section and stage are those of the first."""

    what: Literal["passage.merge"]
    passage: PassageId


class Accept(_Change):
    """Say that a passage is right as it is."""

    what: Literal["passage.accept"]
    passage: PassageId


class Fix(_Change):
    """Write words `[first, last)` of a passage anew. What the recogniser heard is kept."""

    what: Literal["words.fix"]
    passage: PassageId
    first: Offset
    last: Offset
    text: Annotated[Plain, Field(min_length=1, max_length=2000, pattern=r"\S")]


class Revert(_Change):
    """Take back the repairs in words `[first, last)`: print what was heard."""

    what: Literal["words.revert"]
    passage: PassageId
    first: Offset
    last: Offset


class DescriptorKey(_Change):
    stage: DescriptorStage
    term: Text


class DescriptorValue(_Change):
    term: Text
    stage: DescriptorStage
    status: Status = "present"
    intensity: Intensity | None = None
    family: Annotated[Plain, Field(max_length=60)] = ""


class DescriptorAdd(_Change):
    """Add a flavour that was said and not read."""

    what: Literal["descriptor.add"]
    source: Source
    new: DescriptorValue


class DescriptorEdit(_Change):
    what: Literal["descriptor.edit"]
    key: DescriptorKey
    new: DescriptorValue


class DescriptorRemove(_Change):
    what: Literal["descriptor.remove"]
    key: DescriptorKey


class StrengthSet(_Change):
    """Strength of a third, mild 1 to full 5. Without `source` it keeps the words that it has."""

    what: Literal["strength.set"]
    stage: Third
    low: Annotated[int, Field(ge=1, le=5)]
    high: Annotated[int, Field(ge=1, le=5)]
    source: Source | None = None


class StrengthClear(_Change):
    what: Literal["strength.clear"]
    stage: Third


class FactSet(_Change):
    """Set a fact, or say that a guess is certain (`guessed` false). Without `source` it keeps the words it has."""

    what: Literal["fact.set"]
    name: FactName
    value: Any
    guessed: bool = False
    source: Source | None = None


class FactClear(_Change):
    what: Literal["fact.clear"]
    name: FactName


class ScoreValue(_Change):
    aspect: Text
    value: Annotated[float, Field(ge=0, le=1000, allow_inf_nan=False)]
    out_of: Annotated[float, Field(gt=0, le=1000, allow_inf_nan=False)]


class ScoreAdd(_Change):
    what: Literal["score.add"]
    source: Source
    new: ScoreValue


class ScoreEdit(_Change):
    what: Literal["score.edit"]
    aspect: Text
    new: ScoreValue


class ScoreRemove(_Change):
    what: Literal["score.remove"]
    aspect: Text


class PairingKey(_Change):
    kind: PairingKind
    value: Text


class PairingAdd(_Change):
    what: Literal["pairing.add"]
    source: Source
    new: PairingKey


class PairingEdit(_Change):
    what: Literal["pairing.edit"]
    key: PairingKey
    new: PairingKey


class PairingRemove(_Change):
    what: Literal["pairing.remove"]
    key: PairingKey


Change = Annotated[
    Label | Aside | Split | Merge | Accept | Fix | Revert | DescriptorAdd | DescriptorEdit | DescriptorRemove
    | StrengthSet | StrengthClear | FactSet | FactClear | ScoreAdd | ScoreEdit | ScoreRemove
    | PairingAdd | PairingEdit | PairingRemove,
    Field(discriminator="what"),
]
"""Every kind of correction."""
