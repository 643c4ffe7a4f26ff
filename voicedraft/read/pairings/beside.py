"""Rule: a drink or food that stands beside the smoker while the cigar burns, told of in the midst of something else.

"I've got a ginger beer going", "there's a pint at my elbow", "I had a light beer standing open", "flat white to hand".
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from voicedraft.read.pairings.tokens import Token

_SPOKEN = re.compile(
    r"\b(?:beside me|next to me|by me|at my (?:elbow|side)|to hand|in my (?:glass|cup|mug)|in the glass)\b"
    r"|\b(?:got|have|had|poured|opened|'ve|'d) (?:an?|some|my|this)\b[^,.;]*\b(?:here|going|open|beside it|with it|"
    r"alongside)\b|\bthere(?:'s| is| was) (?:an?|some|my)\b[^,.;]*\b(?:here|by me|beside|in front of me)\b"
    r"|\b(?:had|drank|tried|drinking|sipping|eating|ate)\b[^,.;]*\b(?:with it|with this|beside it|alongside)\b",
    re.IGNORECASE,
)


def may_stand_beside(text: str) -> bool:
    """Whether the sentence has the words for it at all."""
    return _SPOKEN.search(text) is not None


def stands_beside(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """Whether the name, a listed one, is what stands there: in the clause that says so."""
    first, last = span
    own = tokens[first].clause
    following = [t.lower for t in tokens if t.clause == own + 1 and t.pos != "PUNCT"][:1]
    clauses = (own, own + 1) if following == ["that"] else (own,)
    clause = " ".join(t.text for t in tokens if t.clause in clauses).replace(" '", "'")
    return bool(tokens[last - 1].mark) and may_stand_beside(clause)
