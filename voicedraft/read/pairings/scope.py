"""Rule: a verdict that its own words limit to something else says nothing of this cigar: "I don't think coffee goes
with pastries", "what I'd avoid on a Monday is wine", "nothing with gin for my wife". Not "it won't go with this"."""

from __future__ import annotations

import re
from functools import cache

from voicedraft.lexicon import load_lexicon
from voicedraft.read.pairings.elsewhere import HERE

_CIGAR = r"(?:cigar|smoke|stick|one|thing|leaf|tobacco|wrapper|blend|profile|flavours?|flavors?|taste|finish)s?"
_ITS_OWN = rf"(?:the|my|a|an|this|that|its|such an?|any)(?: [a-z'-]+){{0,2}} {_CIGAR}\b"
_SELF = r"(?:it|this|these|that|me|us|you|mine|one of|ice|all|sure|now|once|starters|a start|my money|my taste)\b"
_BESIDE_OTHER = re.compile(rf"\b(?:with|for) (?!{_SELF}|{_ITS_OWN})[a-z]")
_OTHERS = re.compile(r"\bwith (?:most|many|other|the last) [a-z]+")


@cache
def _other_reason() -> re.Pattern[str]:
    phrases = load_lexicon().table("pairings")["cues"]["other_reason"]
    return re.compile(rf"\b(?:{'|'.join(sorted(map(re.escape, phrases), key=len, reverse=True))})\b")


def apart(text: str) -> bool:
    """Whether the words, in small letters and parted by spaces, name another food, person, time or reason, and not this
    cigar."""
    if _other_reason().search(text) or _OTHERS.search(text):
        return True
    return _BESIDE_OTHER.search(text) is not None and HERE.search(text) is None
