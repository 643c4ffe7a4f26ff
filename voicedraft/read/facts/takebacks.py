"""Corrections of what was said long before: "I said six weeks, but it's eight", "let me correct something: ...".

What the speaker puts right outweighs every earlier telling of the same fact, in whatever take that was.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace

from voicedraft.read.facts.claims import HEAVY, Claim
from voicedraft.read.facts.concluded import concludes
from voicedraft.read.facts.context import Line, Session

_CONCLUDED = frozenset({"wrapper", "binder", "country"})
"""Facts of which a sentence may weigh two values before it closes on one."""
_NEAR = 2
"""Sentences after "let me correct something" within which the right value is told."""


def put_right(session: Session, claim: Claim) -> Claim:
    """The claim, made heavier where it corrects an earlier one, or set aside where it only repeats the wrong value."""
    line = session.lines[claim.line]
    turn = line.turn
    if turn is not None:
        end = bisect_left([t.word for t in line.tokens], claim.last)
        opens = [line.clause(h.first)[0] for h in line.find("said_before", 0, turn)]
        if opens and end <= opens[-1]:
            return claim
        if end <= turn:
            return replace(claim, other=True)
        return replace(claim, weight=claim.weight + HEAVY)
    if claim.name in _CONCLUDED and _concluded(line, claim):
        return replace(claim, weight=claim.weight + HEAVY)
    before = session.lines[max(0, line.index - _NEAR) : line.index + 1]
    if line.section != "aside" and any(x.has("correcting") for x in before):
        return replace(claim, weight=claim.weight + HEAVY)
    return claim


def _concluded(line: Line, claim: Claim) -> bool:
    words = [t.word for t in line.tokens]
    first, last = bisect_left(words, claim.first), bisect_left(words, claim.last)
    return first < last and concludes(line, first, last)
