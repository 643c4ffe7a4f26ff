"""From mentions to entries: one for each term and stage; the speaker's latest word wins."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from voicedraft.types import DescriptorStage, Evidence, Intensity, Status


@dataclass(frozen=True, slots=True)
class Said:
    """One mention taken for an entry. `cued`: an intensity was said in words, not only the plain flavour."""

    term: str
    key: tuple[str, ...]
    stage: DescriptorStage
    status: Status
    intensity: Intensity
    cued: bool
    passage: str
    first: int
    last: int
    said: str
    confidence: float
    evidence: tuple[Evidence, ...] = ()
    outright: bool = False
    """Denied by the words right before its name ("it's not sultana"): what was claimed before is no surer."""
    takes_back: bool = False
    """Not an entry: the entry of these words is withdrawn, or goes over to `new_term`."""
    new_term: str = ""
    new_key: tuple[str, ...] = ()


@dataclass(slots=True)
class Entry:
    """What stands of a term in a stage so far."""

    said: Said
    spans: list[tuple[int, int]] = field(default_factory=list)


def related(a: Sequence[str], b: Sequence[str]) -> bool:
    """Whether one term is the other with fewer or more modifiers: "oak" and "charred oak"."""
    one, two = set(a), set(b)
    return bool(one) and bool(two) and (one <= two or two <= one)


CHANGE = 0.9
"""Least confidence of a later mention that changes what was said before; chosen leave-one-speaker-out."""


def merge(mentions: Sequence[Said]) -> list[Entry]:
    """Entries in the order in which they were first said. `mentions` are in time order."""
    entries: list[Entry] = []
    for said in mentions:
        if said.takes_back:
            _take_back(entries, said)
            continue
        found = _same(entries, said)
        if found is None:
            entries.append(Entry(said))
        else:
            _update(found, said)
    return entries


def _take_back(entries: list[Entry], said: Said) -> None:
    """Withdraw or rename the entries of the same words: those of this stage, else the latest of another. Where what is
    renamed was never an entry, its new name is one now."""
    found = [e for e in entries if related(e.said.key, said.key)]
    if said.new_key and not found:
        new = replace(said, term=said.new_term, key=said.new_key, status="present", intensity="medium", cued=False,
                      takes_back=False, new_term="", new_key=())
        if _same(entries, new) is None:
            entries.append(Entry(new))
    here = [e for e in found if e.said.stage == said.stage]
    for entry in here or found[-1:]:
        if said.new_key:
            entry.said = replace(entry.said, term=said.new_term, key=said.new_key, first=said.first, last=said.last,
                                 passage=said.passage, said=said.said, evidence=entry.said.evidence + said.evidence)
        else:
            entries.remove(entry)


def _same(entries: Sequence[Entry], said: Said) -> Entry | None:
    """The entry of the same stage and words, else the latest that is the same with fewer or more modifiers."""
    here = [e for e in entries if e.said.stage == said.stage]
    for entry in here:
        if set(entry.said.key) == set(said.key):
            return entry
    for entry in reversed(here):
        if related(entry.said.key, said.key):
            return entry
    return None


def _update(entry: Entry, said: Said) -> None:
    """The later word decides status and, where it says one, intensity; the longer name stays."""
    old = entry.said
    longer = said if len(said.key) > len(old.key) else old
    sure = said.outright or said.confidence >= min(CHANGE, old.confidence)
    latest = said if sure and (said.status != old.status or said.cued) else old
    intensity = old.intensity
    if said.status == "present" and sure and (said.cued or old.status != "present"):
        intensity = said.intensity
    other = old if latest is said else said
    entry.spans.append((other.first, other.last))
    confidence = max(old.confidence, said.confidence) if said.status == old.status else latest.confidence
    entry.said = replace(latest, term=longer.term, key=longer.key, intensity=intensity, confidence=confidence)
