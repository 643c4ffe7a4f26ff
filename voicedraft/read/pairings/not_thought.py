"""Rule: a doubt told of the thinking is of what is thought: "I don't think gin is right for it" refuses gin; "I don't
think a rum would hurt" welcomes rum. Not "I don't think coffee is dear", which says nothing of the cigar."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from voicedraft.read.denial import NOT
from voicedraft.read.pairings.doubted import THINKING
from voicedraft.read.pairings.scope import apart
from voicedraft.read.pairings.tokens import Token

_FAULTS = frozenset({"wrong", "harm", "hurt", "amiss", "spoil", "ruin", "fight", "clash", "kill", "fail"})
_FITTING = frozenset({
    "right", "good", "great", "suit", "work", "fit", "match", "help", "suitable", "friend", "partner", "belong", "idea",
    "agree", "improve", "pair", "go",
})
_OPENING = frozenset({"that", "a", "an", "the", "any", "some", "good", "your", "my", "how", "this"})
_NOT_AGAINST = NOT | {"enough", "only", "without", "wrong"}
_PRICES = frozenset({"value", "deal", "buy", "money", "price"})


def not_thought(tokens: Sequence[Token], span: tuple[int, int]) -> Literal["yes", "no", "none", ""]:
    """What a denied thought says of the name at `span`, which it is about."""
    first, last = span
    own = tokens[first].clause
    lead = [t for t in tokens[:first] if t.clause == own]
    at = next((i for i, t in enumerate(lead) if t.lemma in THINKING and t.pos == "VERB"), None)
    if at is None or any(t.lower not in _OPENING and t.pos != "ADJ" for t in lead[at + 1 :]):
        return ""
    denied = any(t.lower in NOT for t in lead[max(at - 2, 0) : at])
    mine = any(t.lower in ("i", "we") for t in lead[max(at - 4, 0) : at])
    if not denied or not mine or any(t.lower == "if" for t in lead) or lead[at].tag in ("VBD", "VBN"):
        return ""
    after = [t for t in tokens[last:] if t.clause == own]
    if not after or after[0].pos not in ("AUX", "VERB", "PART", "ADV"):
        return ""
    if any(t.lemma in _FAULTS or t.lower in _FAULTS for t in after):
        return "" if any(t.lower in NOT for t in after) else "yes"
    if apart(after) or any(t.lower in _PRICES for t in after):
        return "none"
    if any(t.lower in ("better", "than") for t in after):
        return "none"
    if any(t.lower in _NOT_AGAINST for t in after) or any(a.lower in ("what", "how", "in") for a in after):
        return ""
    return "no" if any(t.lemma in _FITTING for t in after[:5]) else ""
