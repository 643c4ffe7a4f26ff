"""What the readable drafts show, in print order. Markdown and HTML are two templates over this one view."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from voicedraft.draft import wording
from voicedraft.draft.document import DescriptorEntry, FactEntry, PassageEntry, Review
from voicedraft.types import DESCRIPTOR_STAGES, SECTIONS

OF_THE_LINE = ("vitola", "length_mm", "ring_gauge", "price_single", "price_box")
"""Facts whose further values tell of other sizes of the line."""


@dataclass(frozen=True, slots=True)
class Line:
    """One printed line: its label and text, the words it came from, and where they are."""

    label: str
    text: str
    said: str
    passage: str
    start: float
    clock: str
    sound: str
    """Link to the recording at that time (W3C Media Fragments `#t=`), or ""."""


@dataclass(frozen=True, slots=True)
class Flavour:
    """One flavour across the stages: `cells` has one entry a stage of `View.stages`, None where nothing was said."""

    term: str
    family: str
    cells: tuple[FlavourCell | None, ...]


@dataclass(frozen=True, slots=True)
class FlavourCell:
    words: str
    """Intensity or status in words, with the change where it was computed."""
    level: int
    """1 to 5 for the five intensity steps; 0 where no amount belongs: fading, gone, not there."""
    status: str
    line: Line


@dataclass(frozen=True, slots=True)
class Block:
    """One section of the draft with its passages in order."""

    section: str
    name: str
    passages: tuple[PassageLine, ...]


@dataclass(frozen=True, slots=True)
class PassageLine:
    id: str
    clock: str
    sound: str
    text: str
    heard: str
    """What the recogniser wrote, where it differs from the text; else ""."""
    stage: str
    confidence: int
    look_first: bool


@dataclass(frozen=True, slots=True)
class View:
    title: str
    facts: tuple[Line, ...]
    others: tuple[Line, ...]
    """Sizes and prices of the rest of the line."""
    unused: tuple[Line, ...]
    """Other values said for a fact, taken back or outweighed: shown, so that the reviewer can choose."""
    guesses: tuple[Line, ...]
    stages: tuple[str, ...]
    flavours: tuple[Flavour, ...]
    strength: tuple[Line, ...]
    scores: tuple[Line, ...]
    pairings: tuple[Line, ...]
    blocks: tuple[Block, ...]
    asides: tuple[PassageLine, ...]
    transcript: tuple[PassageLine, ...]
    look_first: tuple[PassageLine, ...]
    not_mentioned: tuple[str, ...]
    takes: tuple[str, ...]
    program: str
    model: str
    caution: str


class Viewer:
    """Builds the view of one review. `sounds`: take number → link to that take's recording, as seen from the draft."""

    def __init__(self, review: Review, sounds: Mapping[int, str] | None = None) -> None:
        self.review = review
        self.sounds = sounds or {}
        self.passages = {p.id: p for p in review.passages}
        self.takes = {t.number: t for t in review.takes}

    def view(self) -> View:
        """The whole view."""
        review = self.review
        known = [(n, f) for n, f in review.facts.items() if not f.guessed]
        cigar = review.facts.get("cigar")
        stages = tuple(s for s in DESCRIPTOR_STAGES if any(d.stage == s for d in review.descriptors))
        lines = [self._passage(p) for p in review.passages]
        return View(
            title=str(cigar.value) if cigar and not cigar.guessed else "",
            facts=tuple(self._fact(n, f) for n, f in self._ordered(known)),
            others=tuple(x for n, f in self._ordered(known) if n in OF_THE_LINE for x in self._others(n, f)),
            unused=tuple(x for n, f in self._ordered(known) if n not in OF_THE_LINE for x in self._others(n, f)),
            guesses=tuple(self._fact(n, f) for n, f in review.facts.items() if f.guessed),
            stages=tuple(wording.STAGE_NAMES[s] for s in stages),
            flavours=self._flavours(stages),
            strength=tuple(
                self._line(wording.STAGE_NAMES[s], wording.strength_text(e.low, e.high), e.said, e.passage, e.start)
                for s, e in sorted(review.strength.items(), key=lambda item: DESCRIPTOR_STAGES.index(item[0]))
            ),
            scores=tuple(
                self._line(s.aspect, f"{wording.number(s.value)} of {wording.number(s.out_of)}", s.said, s.passage,
                           s.start)
                for s in review.scores
            ),
            pairings=self._pairings(),
            blocks=self._blocks(lines),
            asides=tuple(x for x, p in zip(lines, review.passages, strict=True) if p.section == "aside"),
            transcript=tuple(lines),
            look_first=tuple(x for x in lines if x.look_first),
            not_mentioned=review.not_mentioned,
            takes=tuple(self._take(n) for n in self.takes),
            program=review.source.program, model=review.source.model, caution=review.caution,
        )

    @staticmethod
    def _ordered(facts: list[tuple[str, FactEntry]]) -> list[tuple[str, FactEntry]]:
        order = list(wording.FACT_NAMES)
        return sorted(facts, key=lambda item: order.index(item[0]) if item[0] in order else len(order))

    def _line(self, label: str, text: str, said: str, passage: str, start: float) -> Line:
        return Line(label, text, said, passage, start, wording.clock(start), self._sound(passage, start))

    def _sound(self, passage: str, start: float) -> str:
        entry = self.passages.get(passage)
        link = self.sounds.get(entry.take, "") if entry else ""
        if not entry or not link:
            return ""
        within = max(start - self.takes[entry.take].start, 0.0)
        return f"{link}#t={within:.1f}"

    def _fact(self, name: str, fact: FactEntry) -> Line:
        label = wording.FACT_NAMES.get(name, name)
        return self._line(label, wording.fact_text(name, fact.value), fact.said, fact.passage, fact.start)

    def _others(self, name: str, fact: FactEntry) -> list[Line]:
        label = wording.FACT_NAMES.get(name, name)
        if len(fact.others_said) == len(fact.others):
            return [self._line(label, _other_text(name, o.value), o.said, o.passage, o.start) for o in fact.others_said]
        return [
            self._line(label, _other_text(name, other), fact.said, fact.passage, fact.start) for other in fact.others
        ]

    def _flavours(self, stages: tuple[str, ...]) -> tuple[Flavour, ...]:
        rows: dict[str, dict[str, DescriptorEntry]] = {}
        for d in sorted(self.review.descriptors, key=lambda d: (DESCRIPTOR_STAGES.index(d.stage), d.start)):
            rows.setdefault(d.term, {})[d.stage] = d
        return tuple(
            Flavour(term, next(iter(row.values())).family.replace("_", " "),
                    tuple(self._cell(row[s]) if s in row else None for s in stages))
            for term, row in rows.items()
        )

    def _cell(self, d: DescriptorEntry) -> FlavourCell:
        if d.status == "present":
            words = wording.INTENSITY_NAMES[d.intensity] if d.intensity else "there"
            if d.evolution in ("rising", "returned"):
                words += f", {wording.EVOLUTION_NAMES[d.evolution]}"
            levels = {"hint": 1, "light": 2, "medium": 3, "strong": 4, "dominant": 5}
            level = levels[d.intensity] if d.intensity else 0
        else:
            words, level = wording.STATUS_NAMES[d.status], 0
        return FlavourCell(words, level, d.status, self._line(d.term, words, d.said, d.passage, d.start))

    def _pairings(self) -> tuple[Line, ...]:
        names = (("drink", "To drink"), ("food", "To eat"), ("avoid", "To leave aside"))
        return tuple(
            self._line(label, e.value, e.said, e.passage, e.start)
            for kind, label in names for e in getattr(self.review.pairings, kind)
        )

    def _blocks(self, lines: list[PassageLine]) -> tuple[Block, ...]:
        pairs = list(zip(lines, self.review.passages, strict=True))
        blocks = [
            Block(s, wording.SECTION_NAMES[s], tuple(x for x, p in pairs if p.section == s))
            for s in SECTIONS if s != "aside"
        ]
        return tuple(b for b in blocks if b.passages)

    def _passage(self, p: PassageEntry) -> PassageLine:
        show_stage = p.stage and p.section in ("burn", "palate", "verdict")
        return PassageLine(
            id=p.id, clock=wording.clock(p.start), sound=self._sound(p.id, p.start), text=p.text,
            heard=p.heard if p.heard != p.text else "",
            stage=wording.STAGE_NAMES[p.stage] if p.stage and show_stage else "",
            confidence=round(p.confidence * 100), look_first=p.look_first,
        )

    def _take(self, number: int) -> str:
        take = self.takes[number]
        begins = f", {take.clock}" if take.clock else ""
        return f"Take {number}: {take.source}{begins}, {wording.clock(take.start)} to {wording.clock(take.end)}"


def _other_text(name: str, other: object) -> str:
    """Another size or price of the line: its label in front where one was said."""
    if isinstance(other, Mapping) and ("label" in other or "vitola" in other or "value" in other):
        label = other.get("label") or other.get("vitola") or ""
        rest = other.get("value", {k: v for k, v in other.items() if k not in ("label", "vitola", "passage", "said")})
        text = wording.fact_text(name, rest)
        return f"{label}: {text}" if label else text
    return wording.fact_text(name, other)
