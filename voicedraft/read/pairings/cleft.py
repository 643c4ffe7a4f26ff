"""Rule: a name put behind "is" by a clause that says what would, or would not, be had: "what I wouldn't pour is gin".

Refused: "the one thing I wouldn't pour is gin", "what doesn't work is lager", "what I'd avoid is cola". Wanted: "what I
fancied with it was a mug of cocoa". Not "what I wouldn't give for a mead", "what I wouldn't say no to is a stout".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from voicedraft.read.pairings.people import PEOPLE
from voicedraft.read.pairings.tokens import Token

_OPENING = r"(?:what|(?:the|one) (?:(?:one|only|last|other|single|main) )?(?:things?|drinks?|foods?|one)(?: that)?)"
_SELF = r"(?:i|you|we|one|nobody)"
_MAY = r"(?: (?:would|'d|do|did|could|ca|can|wo|will|'ll|should|must|might|am|'m))?"
_VERB = (
    r"(?:give|have|having|pour|put|drink|drinking|eat|eating|take|taking|bring|serve|pick|choose|recommend|suggest|"
    r"try|touch|do|set|open|order|offer|pair|reach)"
)
_REST = r"(?: (?!for\b|is\b|was\b|no\b|'s\b)[a-z']+){0,5}"
_IS = r"(?:is|was|are|were|'s|(?:would|'d) be)(?P<named>(?: [a-z'-]+){0,4})"
_DENIED = re.compile(
    rf"{_OPENING} {_SELF} (?:would|'d|wo|will|should|must) (?:n't|not|never)(?: ever| really)? {_VERB}"
    rf"(?P<rest>{_REST}) {_IS}$"
)
_SPARING = PEOPLE | {"without", "enough", "off", "share", "until", "till", "only", "house", "home"}
"""With these nothing is refused: "what I wouldn't do without is coffee", "what I'd never give my brother is rum"."""
_UNFIT = re.compile(
    rf"{_OPENING} (?:does|did|would|do|will|wo)(?: n't| not) (?:work|suit|go|fit|help|belong|agree|sit|do){_REST} "
    rf"{_IS}$"
)
_LEFT = re.compile(rf"{_OPENING} (?:{_SELF}{_MAY}|to) (?:avoid|skip|shun|leave|refuse){_REST} {_IS}$")
_FANCIED = re.compile(
    rf"{_OPENING} (?:{_SELF}(?: 'd| would| 'll| do| did| really)* "
    r"(?:have|pour|want|wanted|fancy|fancied|choose|pick|take)"
    rf"|(?:it|this)(?: 'd| would| really)* (?:wants?|needs?|asks? for|calls? for|wanted|needed)){_REST} {_IS}$"
)
_THEIRS = re.compile(
    rf"{_OPENING} (?:(?:my|his|her|our|the|your|old) )*(?:{'|'.join(sorted(PEOPLE))})\b[^,;.]* {_IS}$"
)
_OURS = re.compile(rf"{_OPENING} (?:i|we|you)\b[^,;.]* {_IS}$")
_NO = re.compile(r"\b(?:n't|not|never|no|nothing|if|hardly)\b")
_NOT_THIS = re.compile(
    r"\b(?:yesterday|last (?:week|night|time|year)|as a (?:boy|girl|kid|child)|lunch|dinner|breakfast|for christmas|"
    r"(?:with )?(?:the other|another|a different) (?:one|cigar|smoke))\b"
)


def cleft(tokens: Sequence[Token], span: tuple[int, int]) -> Literal["yes", "no", "none", ""]:
    """What the clause that leads to the name at `span` by an "is" says of it; "none": of another day, cigar or person.
    """
    lead = " ".join(t.lower for t in tokens[: span[0]] if t.text not in '"“”')
    refused = next((f for f in (p.search(lead) for p in (_DENIED, _UNFIT, _LEFT)) if f), None)
    found = refused or _FANCIED.search(lead)
    if _THEIRS.search(lead) or (_NOT_THIS.search(lead) and (found or _OURS.search(lead))):
        return "none"
    if refused:
        if not _SPARING.isdisjoint(refused.groupdict().get("rest", "").split()):
            return "none"
        return "" if _NO.search(refused["named"]) else "no"
    return "yes" if found and not _NO.search(found.group()) else ""
