"""A claim: one rule's reading of one fact at one place. Several claims are settled to one fact."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from voicedraft.types import Evidence

CHOSEN = 30
"""Weight of a claim that was chosen by what was learned: above every rule's own, so that it stands."""

HEAVY = 10
"""Weight of a claim that corrects what was said before: more than any rule's own weights differ."""


@dataclass(frozen=True, slots=True)
class Claim:
    """`value` of fact `name`, read from words `[first, last)` of sentence number `line`.

    The heaviest claim wins and among equals the latest; a `guessed` claim never beats one that is not. `detail` says
    in words what the rule saw.
    """

    name: str
    value: Any
    line: int
    first: int
    last: int
    detail: str
    weight: int = 0
    guessed: bool = False
    other: bool = False
    """A size or price of another cigar of the line, or a value taken back: listed beside the fact, never as it."""
    evidence: tuple[Evidence, ...] = field(default=())
    instead: bool = False
    """Said in the place of the value told right before: "No it isn't, it's San Andrés"; nothing before it counts."""
    over_two: bool = False
    """Told over two sentences: its words are its own, though they hold another fact's kind of value."""


def best(claims: Sequence[Claim]) -> Claim | None:
    """The claim that stands: heaviest, then latest; guesses only where nothing else was said."""
    own = [c for c in claims if not c.other]
    sure = [c for c in own if not c.guessed] or own
    return max(sure, key=lambda c: (c.weight, c.line, c.first)) if sure else None
