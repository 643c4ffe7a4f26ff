"""Prices that the speaker takes back from the review: "It's fourteen euros, leave that out", "Don't print that."

Nothing else restores them: neither a rule nor what was learned knows better than the speaker what may be printed.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session

NAMES = frozenset({"price_single", "price_box"})
_FAR = 6
"""Words between an amount and the command that takes it back; our own choice."""
_AROUND = frozenset({
    "please", "though", "actually", "no", "oh", "and", "but", "so", "ok", "okay", "well", "thanks", "just", "now",
    "sorry", "ah", "um", "uh", "er", "you", "know", "again", "better", "maybe", "then", "right", "also", "wait", "will",
})
"""Words that a command may have before and behind it in a sentence that is nothing but a command."""


def withheld(session: Session, claim: Claim) -> bool:
    """Whether the speaker said, right after the amount of a price, that it is to be left out."""
    if claim.name not in NAMES:
        return False
    line = session.lines[claim.line]
    mine = [m for m in line.quantities.moneys if _within(line, m.first, m.last, claim)]
    if not mine:
        return False
    last = mine[-1].last
    following = [m.first for m in line.quantities.moneys if m.first >= last]
    end = min([*following, last + _FAR + 1, len(line.tokens)])
    if any(_whole(line, hit.last) for hit in line.find("price.withheld", last, len(line.tokens)) if hit.first < end):
        return True
    return not following and claim.line + 1 < len(session.lines) and _only_command(session.lines[claim.line + 1])


def printed(session: Session, claims: Sequence[Claim]) -> list[Claim]:
    """The claims without withheld prices."""
    return [c for c in claims if not withheld(session, c)]


def _within(line: Line, first: int, last: int, claim: Claim) -> bool:
    a, b = line.span(first, last)
    return a < claim.last and claim.first < b


def _whole(line: Line, at: int) -> bool:
    """Whether its clause ends with the command that ends before token `at`: not "don't print that on the front page",
    "strike that match"."""
    return all(t.text in _AROUND for t in line.tokens[at : line.clause(at - 1)[1]])


def _only_command(line: Line) -> bool:
    hits = line.find("price.withheld", 0, len(line.tokens))
    if not hits:
        return False
    around = [*line.tokens[: hits[0].first], *line.tokens[hits[0].last :]]
    return all(t.text in _AROUND for t in around)
