"""Replays the journal over a reading, the one that the corrections were made on or any later one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from voicedraft.correct.apply import RULES, Unplaced
from voicedraft.correct.apply.rule import Deed
from voicedraft.correct.apply.whole import check
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.journal import Event
from voicedraft.correct.state import State
from voicedraft.draft.compose import not_mentioned
from voicedraft.draft.document import DescriptorEntry, Pairings, Review
from voicedraft.draft.evolution import evolutions
from voicedraft.types import Descriptor, Fact, Passage, Reading, Score, Strength, Transcript

KINDS = ("drink", "food", "avoid")


@dataclass(frozen=True, slots=True)
class Lost:
    """A correction that found no place in a reading, and why."""

    event: Event
    reason: str


class Incomplete(Unplaced):
    """A line of the journal is damaged, or was written by another hand."""


@dataclass(frozen=True, slots=True)
class Replayed:
    """A reading with corrections laid over it."""

    state: State
    review: Review
    unplaced: tuple[Lost, ...]


def replay(reading: Review, events: Iterable[Event], reading_id: str) -> Replayed:
    """The review that `events`, those that count, make of a reading.

    reading_id: names `reading`; events made on another one are placed by their words. Raises CorrectionError where the
    reading carries no words.
    """
    given = tuple(events)
    try:
        state, lost = _applied(State.of(reading), given, reading_id, careful=False)
    except Incomplete:
        state, lost = _applied(State.of(reading), given, reading_id, careful=True)
    return Replayed(state, compile_review(state), tuple(lost))


def _applied(state: State, events: Iterable[Event], reading_id: str, careful: bool) -> tuple[State, list[Lost]]:
    """careful: a line that turns out not to be whole leaves the state as it was, at the price of a copy a line."""
    lost: list[Lost] = []
    for event in events:
        before = state.clone() if careful else state
        try:
            apply_event(state, event, reading_id)
        except Incomplete as error:
            if not careful:
                raise
            state = before
            lost.append(Lost(event, str(error)))
        except Unplaced as error:
            lost.append(Lost(event, str(error)))
    return state, lost


def apply_event(state: State, event: Event, reading_id: str) -> None:
    """Makes one event on a state. Raises Unplaced, and Incomplete where its line is damaged: the state may be half
    changed then."""
    rule = RULES.get(event.what)
    if rule is None:
        raise Unplaced(f"this version knows no correction {event.what!r}")
    same = event.reading == reading_id
    deed = Deed(event.what, event.target, event.old, event.new, same)
    try:
        check(deed)
        rule.apply(state, deed)
        state.entries()
    except (LookupError, TypeError, ValueError, AttributeError, OverflowError, CorrectionError) as error:
        raise Incomplete(f"its line in the journal is not complete ({type(error).__name__})") from error


def compile_review(state: State) -> Review:
    """The document of a state: what was read from asides is left out, what is derived is computed anew."""
    out = {p.id for p in state.parts if p.by_hand and p.section == "aside"}

    def stays(passage: str, *key: str) -> bool:
        return passage not in out or key in state.by_hand

    descriptors = [d for d in state.descriptors if stays(d.passage, "descriptor", d.stage, d.term.lower())]
    pairings = [(k, e) for k, e in state.pairings if stays(e.passage, "pairing", k, e.value.lower())]
    review = state.base.model_copy(update={
        "passages": state.entries(), "descriptors": _evolved(descriptors),
        "strength": {k: v for k, v in state.strength.items() if stays(v.passage, "strength", k)},
        "facts": {k: v for k, v in state.facts.items() if stays(v.passage, "fact", k)},
        "scores": tuple(s for s in state.scores if stays(s.passage, "score", s.aspect)),
        "pairings": Pairings(**{kind: tuple(e for k, e in pairings if k == kind) for kind in KINDS}),
    })
    return review.model_copy(update={"not_mentioned": not_mentioned(_outline(review))})


def _evolved(entries: list[DescriptorEntry]) -> tuple[DescriptorEntry, ...]:
    plain = [Descriptor(e.term, e.family, e.stage, e.status, e.intensity, e.passage, 0, 1, e.said) for e in entries]
    return tuple(
        e if e.evolution == change else e.model_copy(update={"evolution": change})
        for e, change in zip(entries, evolutions(plain), strict=True)
    )


def _outline(review: Review) -> Reading:
    """As much of a reading as tells what was not mentioned."""
    return Reading(
        transcript=Transcript((), ()),
        passages=tuple(Passage(p.id, p.take, 0, 1, p.section, p.stage, p.confidence) for p in review.passages),
        strength=tuple(Strength(k, v.low, v.high, v.passage, 0, 1, v.said) for k, v in review.strength.items()),
        facts={n: Fact(n, f.value, f.passage, 0, 1, f.said, f.guessed) for n, f in review.facts.items()},
        scores=tuple(Score(s.aspect, s.value, s.out_of, s.passage, 0, 1, s.said) for s in review.scores),
    )
