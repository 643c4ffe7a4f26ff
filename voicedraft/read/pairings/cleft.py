"""Rule: a name put behind "is" by a clause that says what would, or would not, be had: "what I wouldn't pour is gin".

Refused: "the one thing I wouldn't pour is gin", "what doesn't work is lager", "what I'd avoid is cola", "the last thing
it needs is a shandy". Wanted: "what I fancied with it was a mug of cocoa", "what I'd never smoke it without is coffee".
Neither: "what I wouldn't share is my bourbon". Not "what I wouldn't give for a mead", "what I wouldn't say no to".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from voicedraft.read.pairings.elsewhere import AWAY, HERE
from voicedraft.read.pairings.people import PEOPLE, THEM
from voicedraft.read.pairings.scope import apart
from voicedraft.read.pairings.tokens import Token

_KIND = r"(?:things?|drinks?|foods?|one)(?: that)?"
_OPENING = rf"(?:what|(?:the|one) (?:(?:one|only|other|single|main) )?{_KIND})"
_SELF = r"(?:i|you|we|one|nobody)"
_MAY = r"(?: (?:would|'d|do|did|could|ca|can|wo|will|'ll|should|must|might|am|'m))?"
_NOT = r"(?:n't|not|never)(?: ever| really)?"
_VERB = (
    r"(?:give|have|having|pour|put|drink|drinking|eat|eating|take|taking|bring|serve|pick|choose|recommend|suggest|"
    r"try|touch|do|set|open|order|offer|pair|reach)"
)
_REST = r"(?P<rest>(?: (?!for\b|is\b|was\b|no\b|'s\b)[a-z']+){0,5})"
_LONG = r"(?P<rest>(?: (?!is\b|was\b|no\b|'s\b)[a-z']+){0,6})"
_IS = r"(?:is|was|are|were|'s|(?:would|'d) be)(?P<named>(?: [a-z'-]+){0,4})"
_DENIED = re.compile(rf"{_OPENING} {_SELF} (?:would|'d|wo|will|should|must) {_NOT} {_VERB}{_REST} {_IS}$")
_SPARING = PEOPLE | THEM | {"without", "enough", "off", "share", "until", "till", "only", "house", "home"}
"""With these nothing is refused: "what I wouldn't do without is coffee", "what I'd never give my brother is rum"."""
_UNFIT = re.compile(
    rf"{_OPENING} (?:does|did|would|do|will|wo)(?: n't| not) (?:work|suit|go|fit|help|belong|agree|sit|do){_REST} "
    rf"{_IS}$"
)
_LEFT = re.compile(rf"{_OPENING} (?:{_SELF}{_MAY}|to) (?:avoid|skip|shun|leave|refuse){_LONG} {_IS}$")
_LAST = re.compile(
    rf"the (?:very )?last {_KIND} (?:{_SELF} (?:would|'d|want|need)|(?:it|this|this one|this cigar) (?:wants?|needs?)"
    rf"|(?:anybody|anyone) (?:wants?|needs?|would))(?: (?:ever|want|need|{_VERB}))*{_REST} {_IS}$"
)
"""Not "the last thing I had with it was a rum"."""
_UNWANTED = re.compile(
    rf"{_OPENING} (?:it|this|this one|this cigar) (?:does|do|did|would|will|wo) {_NOT} (?:need|want|like){_REST} {_IS}$"
)
_RUED = re.compile(
    rf"{_OPENING} {_SELF}\b[^;.]*\b(?:would|'d|will|wo) {_NOT}(?: [a-z]+)?(?P<rest> again)(?: ,)? {_IS}$"
)
_REFUSING = (_DENIED, _UNFIT, _LEFT, _LAST, _UNWANTED, _RUED)
_BARE = re.compile(r"thing(?: that)? (?:i|we|you) (?:want|need)\b")
"""Of life, and not of the cigar: "the last thing I need is coffee"."""
_NEEDED = re.compile(
    rf"{_OPENING} {_SELF}(?:{_MAY} {_NOT} (?:have|smoke|light|enjoy|take)|{_MAY} refuse to (?:have|smoke|light)) "
    rf"(?:it|this|this one|these) without {_IS}$"
)
_HELD = re.compile(rf"{_OPENING} {_SELF}{_MAY} {_NOT} (?:change|swap|trade|skip|drop){_LONG} {_IS}$")
_IDLE = re.compile(
    rf"{_OPENING} {_SELF}{_MAY} {_NOT} (?:share|lend|spill|waste|sell|lose|afford|find|get|remember|pronounce|"
    rf"understand|explain|see|taste|spare|give away){_LONG} {_IS}$"
)
_LIKENED = re.compile(rf"{_OPENING} {_SELF}{_MAY} (?:compare|liken) (?:it|this) (?:to|with) {_IS}$")
"""What is kept to oneself, or not to be had, is neither refused nor wanted: "what I won't share is my bourbon"."""
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
    r"\b(?:lunch|dinner|breakfast|for christmas|(?:with )?(?:the other|another|a different) (?:one|cigar|smoke))\b"
)
_LATER = re.compile(r"for (?:the |its )?(?:very )?(?:last|final|end|finish)\b")
_ANOTHER_DAY = re.compile(r"for (?:another|some other|a different|the next)\b")


def cleft(tokens: Sequence[Token], span: tuple[int, int]) -> Literal["yes", "no", "none", ""]:
    """What the clause that leads to the name at `span` by an "is" says of it; "none": of another day, cigar or person.
    """
    lead = " ".join(t.lower for t in tokens[: span[0]] if t.text not in '"“”')
    if _NEEDED.search(lead):
        return "yes"
    refused = next((f for f in (p.search(lead) for p in _REFUSING) if f), None)
    found = refused or _FANCIED.search(lead)
    other_time = _NOT_THIS.search(lead) or AWAY.search(lead)
    if any(p.search(lead) for p in (_THEIRS, _IDLE, _LIKENED)) or (other_time and (found or _OURS.search(lead))):
        return "none"
    held = _HELD.search(lead)
    if held:
        return "none" if apart(tokens[: span[0]]) else "yes"
    if refused:
        return _refused(refused, apart(tokens[: span[0]]))
    return "yes" if found and not _NO.search(found.group()) else ""


def _refused(found: re.Match[str], other: bool) -> Literal["yes", "no", "none", ""]:
    """What a clause that refuses, or only seems to, says: "what I'd leave for the last third is the port" wants it.

    other: whether the clause names another food, person, time or reason.
    """
    rest = found["rest"].strip()
    if _LATER.search(rest):
        return "yes"
    vague = rest or _BARE.search(found.group())
    astray = found.re is _LAST and vague and not HERE.search(rest) and "here" not in rest.split()
    if astray or not _SPARING.isdisjoint(rest.split()) or (other and not _ANOTHER_DAY.search(rest)):
        return "none"
    return "" if _NO.search(found["named"]) else "no"
