"""Candidates as they are weighed: each with its signs and its vector."""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.facts.candidates import Candidate, candidates
from voicedraft.read.facts.context import Session
from voicedraft.read.facts.grammar import vector
from voicedraft.read.facts.kin import kin
from voicedraft.read.facts.signs import Present, signs
from voicedraft.read.sign_weights import Floats


@dataclass(frozen=True, slots=True)
class Seen:
    """A candidate with its signs and its vector (None where the sentence was not encoded)."""

    candidate: Candidate
    signs: tuple[str, ...]
    vector: Floats | None


def seen_of(session: Session) -> dict[str, list[Seen]]:
    """Candidates of each kind, in order of speech."""
    by_kind: dict[str, list[Candidate]] = {}
    for candidate in candidates(session):
        by_kind.setdefault(candidate.kind, []).append(candidate)
    known: Present = {}
    return {
        kind: [
            Seen(c, tuple(signs(session, all_, k, known)), vector(c.line, c.first, c.last)) for k, c in enumerate(told)
        ]
        for kind, told in by_kind.items() if (all_ := kin(told))
    }
