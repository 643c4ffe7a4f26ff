"""What the page is told: the whole session once, then only what changed."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, Field

from voicedraft.correct.changes import Change
from voicedraft.correct.journal import REDO, UNDO, Event, active
from voicedraft.correct.session import Outcome, Session
from voicedraft.correct.telling import tell
from voicedraft.draft import wording
from voicedraft.draft.document import (
    DescriptorEntry,
    FactEntry,
    Pairings,
    PassageEntry,
    Review,
    ScoreEntry,
    StrengthEntry,
)
from voicedraft.types import DESCRIPTOR_STAGES, INTENSITIES, SECTIONS, STAGES, STATUSES

KEYS = {
    "background": "B", "appearance": "A", "prelight": "L", "first_third": "F", "second_third": "S", "final_third": "T",
    "burn": "D", "palate": "W", "value": "O", "verdict": "V", "pairings": "G", "aside": "X",
}
"""Key of each section: a letter of its name that no other command has."""
STAGE_KEYS = {"prelight": "0", "first": "1", "second": "2", "final": "3", "after": "4", "": "9"}
NO_STAGE = "No stage"


class Wish(BaseModel):
    """One correction, and the revision that it was made on."""

    base: int = Field(ge=0, le=10**9)
    change: Change


class Step(BaseModel):
    """An undo or redo, and the revision that it was made on. `event`: take back that one instead of the last."""

    base: int = Field(ge=0, le=10**9)
    event: str | None = Field(default=None, max_length=80)


class Refused(BaseModel):
    """Why a correction was not made."""

    message: str


class Stale(Refused):
    """Somebody else was first: the revision now, and what changed since."""

    revision: int
    changed: list[str]


class Spoken(BaseModel):
    """A passage. `words`: text, start, end, and what was heard where that differs, a word each."""

    id: str
    take: int
    start: float
    end: float
    section: str
    stage: str | None
    sure: int = Field(description="per cent")
    look: bool
    by_hand: bool
    evidence: list[str]
    words: list[tuple[str, float, float, str | None]]
    repairs: list[str]


class TakeInfo(BaseModel):
    number: int
    start: float
    end: float
    source: str
    clock: str | None
    sound: bool


class Values(BaseModel):
    """Everything read from the passages."""

    descriptors: list[DescriptorEntry]
    strength: dict[str, StrengthEntry]
    facts: dict[str, FactEntry]
    fact_texts: dict[str, str]
    scores: list[ScoreEntry]
    pairings: Pairings
    not_mentioned: list[str]


class Done(BaseModel):
    """One correction in the list of corrections."""

    id: str
    who: str
    when: str
    text: str
    counts: bool
    step: bool = Field(description="an undo or redo rather than a correction")


class Standing(BaseModel):
    """Where the draft stands."""

    revision: int
    undo: str | None
    redo: str | None
    values: Values
    unplaced: list[str]
    last: str | None = None


class Changed(Standing):
    """What one correction changed: passages that are new or different, and the order of all where that changed."""

    passages: list[Spoken]
    order: list[str] | None
    focus: str | None


class Whole(Standing):
    """The whole session."""

    title: str
    takes: list[TakeInfo]
    passages: list[Spoken]
    damaged: int
    names: dict[str, Any]


class Revision(BaseModel):
    revision: int


class Peaks(BaseModel):
    take: int
    step: float
    peaks: list[int]


def spoken(p: PassageEntry) -> Spoken:
    """A passage for the page."""
    return Spoken(
        id=p.id, take=p.take, start=p.start, end=p.end, section=p.section, stage=p.stage,
        sure=round(p.confidence * 100),
        look=p.look_first, by_hand=any(e.startswith("correction:") for e in p.evidence), evidence=list(p.evidence),
        words=[(w.text, w.start, w.end, w.heard) for w in p.words],
        repairs=[f"heard “{r.heard}”, printed “{r.text}”: {r.reason}" for r in p.repairs],
    )


def values(review: Review) -> Values:
    """The values for the page."""
    return Values(
        descriptors=list(review.descriptors), strength={str(k): v for k, v in review.strength.items()},
        facts=review.facts, fact_texts={n: wording.fact_text(n, f.value) for n, f in review.facts.items()},
        scores=list(review.scores), pairings=review.pairings, not_mentioned=list(review.not_mentioned),
    )


def _standing(session: Session) -> dict[str, Any]:
    return {
        "revision": session.revision, "undo": session.can_undo(), "redo": session.can_redo(),
        "values": values(session.review), "unplaced": [f"{tell(x.event)}: {x.reason}" for x in session.unplaced],
    }


def whole(session: Session, sounds: set[int]) -> Whole:
    """Everything, for a page that has just been opened."""
    review = session.review
    cigar = review.facts.get("cigar")
    return Whole(
        **_standing(session), title=str(cigar.value) if cigar and not cigar.guessed else "Draft review",
        takes=[TakeInfo(number=t.number, start=t.start, end=t.end, source=t.source, clock=t.clock,
                        sound=t.number in sounds) for t in review.takes],
        passages=[spoken(p) for p in review.passages], damaged=len(session.contents.damaged), names=names(),
    )


def names() -> dict[str, Any]:
    """Names and keys, in the order in which they are shown."""
    return {
        "sections": [[s, wording.SECTION_NAMES[s], KEYS[s]] for s in SECTIONS],
        "stages": [[s, wording.STAGE_NAMES[s], STAGE_KEYS[s]] for s in STAGES] + [["", NO_STAGE, STAGE_KEYS[""]]],
        "flavour_stages": [[s, wording.STAGE_NAMES[s]] for s in DESCRIPTOR_STAGES],
        "statuses": [[s, wording.STATUS_NAMES.get(s, "there")] for s in STATUSES],
        "intensities": [[s, wording.INTENSITY_NAMES[s]] for s in INTENSITIES],
        "strengths": [[n, text] for n, text in wording.STRENGTH_NAMES.items()],
        "facts": [[n, text] for n, text in wording.FACT_NAMES.items()],
        "pairings": [["drink", "To drink"], ["food", "To eat"], ["avoid", "To leave aside"]],
    }


def changed(session: Session, outcome: Outcome) -> Changed:
    """What a correction changed."""
    before = {p.id: p for p in outcome.before.passages}
    after = outcome.after.passages
    ids = [p.id for p in after]
    focus = outcome.event.target.get("passage")
    return Changed(
        **_standing(session), passages=[spoken(p) for p in after if before.get(p.id) != p],
        order=ids if ids != [p.id for p in outcome.before.passages] else None,
        focus=str(focus) if focus in ids else None, last=tell(outcome.event),
    )


def history(session: Session) -> list[Done]:
    """Every correction, the latest first."""
    counting = {e.id for e in active(session.contents.events)}

    def done(e: Event) -> Done:
        return Done(id=e.id, who=e.who, when=e.when.isoformat(), text=tell(e), counts=e.id in counting,
                    step=e.what in (UNDO, REDO))

    return [done(e) for e in reversed(session.contents.events)]


