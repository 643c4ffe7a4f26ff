"""Rule: what a name gets for an answer: "ginger beer, yes", "gin? No.", "crisps, don't", "would a stout suit it? No."

Neither where it goes on with somebody else ("port, no he never") or is only asked; "tawny, no, make it a muscat" takes
the name back.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from voicedraft.read.pairings.refusal import NEGATIONS, SMALL
from voicedraft.read.pairings.tokens import Token

_SHORT = 6
_ANSWERING = frozenset({
    "i", "say", "said", "'d", "'ll", "way", "chance", "fear", "sorry", "my", "friend", "for", "me", "sir", "absolutely",
    "definitely", "certainly", "hell",
})
_CORRECTING = frozenset({"just", "make", "without", "only", "wait", "sorry", "rather", "hang", "strike", "scratch"})
_ASKING = frozenset({"would", "could", "should", "does", "do", "is", "will", "did", "has", "can"})
_YES = frozenset({"yes", "yeah", "yep", "aye", "sure", "absolutely", "definitely", "certainly", "ja"})
_SURELY = frozenset({"absolutely", "definitely", "certainly"})
_LEADING_IN = frozenset({"and", "but", "so", "now", "then", "well"})


def affirmed(right: Sequence[Token], clause: int) -> bool:
    """"Ginger beer, yes"."""
    if any(t.pos != "PUNCT" and t.clause == clause for t in right):
        return False
    answer = [t.lower for t in right if t.clause == clause + 1 and t.pos != "PUNCT"]
    return bool(answer) and not _YES.isdisjoint(answer) and set(answer) <= _YES | SMALL | _ANSWERING


def asked(tokens: Sequence[Token], following: Sequence[str]) -> Literal["no", "none", ""]:
    """"Would a stout suit it?", "and does it want a rum?": what the next sentence answers, else only asked."""
    opening = next((t.lower for t in tokens if t.lower not in _LEADING_IN and t.pos != "PUNCT"), "")
    if tokens[-1].text != "?" or opening not in _ASKING:
        return ""
    if following and following[0] in _YES and not replied_no(following):
        return ""
    return "no" if replied_no(following) else "none"


def replied_no(following: Sequence[str]) -> bool:
    """Whether the next sentence opens with a no: "no", "never", "absolutely not"."""
    return bool(following) and (following[0] in NEGATIONS or (following[0] in _SURELY and following[1:2] == ["not"]))


def answered(tokens: Sequence[Token], last: int, following: Sequence[str]) -> Literal["yes", "no", "none", ""]:
    """What a clause of no's says of the name that ends at `last`: "ginger beer, no", "crisps, don't", "gin? No.";
    "tawny, no, make it a muscat" takes the name back."""
    own = tokens[last - 1].clause
    rest = [t for t in tokens[last:] if t.clause == own and t.pos != "PUNCT"]
    if any(t.lower not in SMALL | NEGATIONS for t in rest):
        return ""
    if any(t.lower in NEGATIONS for t in rest):
        return "no"
    after = [t for t in tokens[last:] if t.clause > own and t.pos != "PUNCT"]
    if not after:
        asked = tokens[-1].text == "?" and len(tokens) <= _SHORT
        return "no" if asked and following[:1] in (["no"], ["never"], ["nah"], ["nope"]) else ""
    answer = [t.lower for t in after if t.clause == after[0].clause]
    if answer == ["why", "not"]:
        return "yes"
    if not set(answer) <= NEGATIONS | SMALL | _ANSWERING or NEGATIONS.isdisjoint(answer):
        return ""
    turn = [t.lower for t in after[len(answer) : len(answer) + 2]]
    if turn[:1] and turn[0] in ("he", "she", "they"):
        return ""
    return "none" if turn[:1] and (turn[0] in _CORRECTING or turn == ["i", "mean"]) else "no"
