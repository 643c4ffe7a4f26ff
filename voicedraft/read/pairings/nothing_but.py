"""Rule: what alone is let in, or alone kept out: "I wouldn't want anything but black coffee" wants it, "anything but
cola" does not; "I can't imagine a better match than coffee" wants it. Not "it's anything but a port", which is no
choice at all, nor "I'd have anything but gin with most cigars".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from voicedraft.read.denial import NOT
from voicedraft.read.pairings.elsewhere import AWAY
from voicedraft.read.pairings.scope import apart
from voicedraft.read.pairings.tokens import Token

_EXCEPT = (("but",), ("except",), ("besides",), ("bar",), ("other", "than"))
_BE = frozenset({"be", "'s", "taste", "smell", "look"})
_HAVING = frozenset({"have", "want", "drink", "eat", "take", "need", "pour", "serve", "do", "order", "pick", "try"})
_SELF = frozenset({"i", "you", "we", "one", "it"})
_NONE_BETTER = re.compile(
    r"\b(?:(?:n't|not|never|hardly) (?:[a-z']+ )*?(?:an?|any|anything|many)|no"
    r"|nothing(?: (?:is|'s|goes|could be|would be))?)"
    r" (?:better|finer|nicer) (?:(?!value\b|cigar|smoke|buy\b)[a-z]+ )*?than"
    r"(?: (?:an?|the|some|this|your))?(?: [a-z]+)?$"
)
_INNER = frozenset({"DET", "ADJ", "NOUN", "PROPN", "NUM"})


def nothing_but(tokens: Sequence[Token], span: tuple[int, int]) -> Literal["yes", "no", "none", ""]:
    """What "nothing but" or "anything but" before the name at `span` says of it."""
    own = " ".join(t.lower for t in tokens[: span[0]] if t.clause == tokens[span[0]].clause)
    if _NONE_BETTER.search(own) and not any(t.mark for t in tokens[: span[0]] if t.clause == tokens[span[0]].clause):
        return "none" if apart(tokens[span[1] :]) else "yes"
    i = span[0]
    while i and tokens[i - 1].pos in _INNER and tokens[i - 1].lower not in ("anything", "nothing"):
        i -= 1
    size = next((len(e) for e in _EXCEPT if tuple(t.lower for t in tokens[max(i - len(e), 0) : i]) == e), 0)
    at = i - size - 1
    if not size or at < 0 or tokens[at].lower not in ("anything", "nothing"):
        return ""
    lead = [t for t in tokens[:at] if t.clause == tokens[at].clause]
    verb = next((t for t in reversed(lead) if t.pos in ("VERB", "AUX")), None)
    subject = next((t.lower for t in reversed(lead) if t.dep in ("nsubj", "expl")), "")
    if any(t.lower == "if" for t in lead):
        return "none"
    if (subject and subject not in _SELF):
        return ""
    if verb is not None and (verb.lemma in _BE or verb.lemma not in _HAVING or verb.tag in ("VBD", "VBN")):
        return ""
    limited = apart(tokens[span[1] :])
    if verb is not None and (limited or AWAY.search(" ".join(t.lower for t in tokens[: span[0]]))):
        return "none"
    if tokens[at].lower == "nothing" or any(t.lower in NOT for t in lead):
        return "yes" if verb is not None else ""
    return "no" if verb is not None and any(t.lower in ("would", "'d", "'ll", "could", "can") for t in lead) else ""
