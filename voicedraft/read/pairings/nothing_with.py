"""Rule: "nothing with hot sauce on it", "I'd drink nothing with mint in it" refuse what is named behind the "with".

"Nothing with chocolate would be wrong" welcomes it; "nothing with vinegar, no pickles" goes on to say which is meant.
Not "there's nothing with rum in it", "I had nothing with the rum".
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from voicedraft.read.pairings.scope import apart
from voicedraft.read.pairings.tokens import Token

_BEFORE = frozenset({"and", "or", "but", "so", "just", "please", "also"})
_TAKING = frozenset({"have", "drink", "eat", "take", "pour", "serve", "bring", "order", "want", "do"})
_WISHING = frozenset({"would", "'d", "will", "'ll"})
_HOLDING = frozenset({"with", "containing"})
_FAULTS = frozenset({"wrong", "bad", "amiss", "harm", "hurt", "fail"})
_INNER = frozenset({"DET", "ADJ", "NUM", "NOUN", "PROPN"})


def nothing_with(tokens: Sequence[Token], span: tuple[int, int]) -> Literal["yes", "no", "none", ""]:
    """What such words before the name at `span` say of it."""
    first, last = span
    own = [i for i, t in enumerate(tokens) if t.clause == tokens[first].clause and t.pos != "PUNCT"]
    at = next((i for i in reversed(own) if i < first and tokens[i].lower == "nothing"), None)
    if at is None:
        return ""
    between = list(tokens[at + 1 : first])
    holds = next((i for i, t in enumerate(between) if t.lower in _HOLDING), None)
    if holds is None or any(t.pos not in _INNER for i, t in enumerate(between) if i != holds):
        return ""
    after = [tokens[i] for i in own if i >= last]
    if any(t.pos in ("VERB", "AUX") for t in after):
        return "yes" if any(t.lemma in _FAULTS for t in after) else ""
    if apart(tokens[last:]):
        return "none"
    following = [t.lower for t in tokens if t.clause == tokens[first].clause + 1 and t.pos != "PUNCT"]
    if following[:1] in (["no"], ["not"]) and len(following) > 1:
        return "none"
    lead = [tokens[i] for i in own if i < at]
    if all(t.lower in _BEFORE for t in lead):
        return "no"
    inside = any(a.lower in ("in", "on") and b.lower in ("it", "them") for a, b in pairwise(after))
    wished = any(t.lower in _WISHING for t in lead) and lead[-1].lemma in _TAKING
    return "no" if inside and wished and any(t.lower in ("i", "we", "you") for t in lead) else ""
