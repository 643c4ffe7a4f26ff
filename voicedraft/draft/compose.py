"""From a reading to the review document. Nothing is added here that was not read; derived figures are computed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from voicedraft import __version__
from voicedraft.draft.document import (
    DescriptorEntry,
    FactEntry,
    OtherEntry,
    PairingEntry,
    Pairings,
    PassageEntry,
    RepairEntry,
    Review,
    ScoreEntry,
    Source,
    StrengthEntry,
    TakeEntry,
    WordEntry,
)
from voicedraft.draft.evolution import evolutions
from voicedraft.draft.wording import CAUTION, FACT_NAMES, SECTION_NAMES, STAGE_NAMES
from voicedraft.types import Descriptor, Evidence, Fact, Passage, Reading, Transcript

EVIDENCE_SHOWN = 4
"""Reasons printed a value; `voicedraft explain` gives all."""

MAGNITUDE = {"hint": 1.4, "light": 6.0, "medium": 17.0, "strong": 35.0, "dominant": 53.0}
"""Barely detectable, weak, moderate, strong, very strong on the general labeled magnitude scale, 0 to 100
(Green et al. 1993, Bartoshuk et al. 2004)."""


def compose(reading: Reading, look_first: Iterable[str] = ()) -> Review:
    """The review of a reading. `look_first`: ids of the passages that the reviewer should look at first."""
    first = frozenset(look_first)
    transcript = reading.transcript
    return Review(
        source=Source(program=f"voicedraft {__version__}", model=transcript.model,
                      inputs=tuple(dict.fromkeys(t.source for t in transcript.takes))),
        takes=tuple(
            TakeEntry(number=t.number, start=_ms(t.start), end=_ms(t.end), source=t.source, digest=t.digest,
                      clock=t.clock.isoformat() if t.clock else None)
            for t in transcript.takes
        ),
        passages=tuple(_passage(transcript, p, p.id in first) for p in reading.passages),
        descriptors=_descriptors(transcript, reading.descriptors),
        strength={
            s.stage: StrengthEntry(low=s.low, high=s.high, **_quoted(transcript, s.passage, s.first, s.last, s.said,
                                                                     s.evidence))
            for s in reading.strength
        },
        facts={
            f.name: FactEntry(value=f.value, guessed=f.guessed, others=f.others, others_said=_others(transcript, f),
                              **_quoted(transcript, f.passage, f.first, f.last, f.said, f.evidence))
            for f in reading.facts.values()
        },
        scores=tuple(
            ScoreEntry(aspect=s.aspect, value=s.value, out_of=s.out_of,
                       **_quoted(transcript, s.passage, s.first, s.last, s.said, s.evidence))
            for s in reading.scores
        ),
        pairings=_pairings(reading),
        not_mentioned=not_mentioned(reading),
        caution=CAUTION,
    )


def _others(transcript: Transcript, fact: Fact) -> tuple[OtherEntry, ...]:
    """The other values said for a fact, each with its own words."""
    words = transcript.words
    return tuple(
        OtherEntry(value=o.value, passage=o.passage, said=o.said, start=_ms(words[o.first].start),
                   end=_ms(words[o.last - 1].end))
        for o in fact.others_said
    )


def _ms(seconds: float) -> float:
    return round(max(seconds, 0.0), 3)


def _quoted(
    transcript: Transcript, passage: str, first: int, last: int, said: str, evidence: Sequence[Evidence]
) -> dict[str, Any]:
    words = transcript.words
    return {
        "passage": passage, "said": said, "start": _ms(words[first].start), "end": _ms(words[last - 1].end),
        "evidence": tuple(str(e) for e in evidence[:EVIDENCE_SHOWN]),
    }


def _passage(transcript: Transcript, passage: Passage, look_first: bool) -> PassageEntry:
    words = transcript.words[passage.first : passage.last]
    repairs = [r for r in transcript.repairs if passage.first <= r.first < passage.last]
    return PassageEntry(
        id=passage.id, take=passage.take, start=_ms(words[0].start), end=_ms(words[-1].end),
        text=" ".join(w.text for w in words if w.text), heard=" ".join(w.heard for w in words if w.heard),
        section=passage.section, stage=passage.stage, confidence=round(min(max(passage.confidence, 0.0), 1.0), 3),
        evidence=tuple(str(e) for e in passage.evidence[:EVIDENCE_SHOWN]), look_first=look_first,
        words=tuple(
            WordEntry(text=w.text, start=_ms(w.start), end=_ms(w.end), heard=w.heard if w.heard != w.text else None,
                      probability=None if w.probability is None else round(w.probability, 3))
            for w in words
        ),
        repairs=tuple(
            RepairEntry(heard=r.heard, text=r.text, reason=r.reason, confidence=round(r.confidence, 3),
                        first_word=r.first, last_word=r.last)
            for r in repairs
        ),
    )


def _descriptors(transcript: Transcript, descriptors: Sequence[Descriptor]) -> tuple[DescriptorEntry, ...]:
    return tuple(
        DescriptorEntry(
            term=d.term, family=d.family, stage=d.stage, status=d.status, intensity=d.intensity,
            magnitude=MAGNITUDE[d.intensity] if d.intensity else None, evolution=change,
            confidence=round(min(max(d.confidence, 0.0), 1.0), 3),
            **_quoted(transcript, d.passage, d.first, d.last, d.said, d.evidence),
        )
        for d, change in zip(descriptors, evolutions(descriptors), strict=True)
    )


def _pairings(reading: Reading) -> Pairings:
    by_kind: dict[str, list[PairingEntry]] = {"drink": [], "food": [], "avoid": []}
    for p in reading.pairings:
        where = _quoted(reading.transcript, p.passage, p.first, p.last, p.said, p.evidence)
        by_kind[p.kind].append(PairingEntry(value=p.value, **where))
    return Pairings(**{kind: tuple(entries) for kind, entries in by_kind.items()})


def not_mentioned(reading: Reading) -> tuple[str, ...]:
    """Names of what a review usually has and that was not said here, in the order of the draft."""
    said = {p.section for p in reading.passages}
    known = {name for name, fact in reading.facts.items() if not fact.guessed}
    missing = [label for name, label in FACT_NAMES.items() if name not in known]
    missing += [name for section, name in SECTION_NAMES.items() if section not in said and section != "aside"]
    staged = {s.stage for s in reading.strength}
    missing += [f"Strength, {STAGE_NAMES[s].lower()}" for s in ("first", "second", "final") if s not in staged]
    if not reading.scores:
        missing.append("Scores")
    return tuple(dict.fromkeys(missing))
