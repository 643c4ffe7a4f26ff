"""Rule: what was had at another time, with another cigar or by somebody else goes with nothing here.

"Last night I had tequila", "at the wedding they poured champagne", "my uncle swears by cognac", "if this were stronger,
a rum would do". Said to be with this cigar ("last year I had madeira with one of these"), the other rules judge it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.pairings.governed import governing, subject_of
from voicedraft.read.pairings.people import PEOPLE
from voicedraft.read.pairings.refusal import NEGATIONS
from voicedraft.read.pairings.tokens import Token

_DAYS = (
    r"yesterday|last (?:night|week|weekend|month|year|summer|winter|spring|autumn|fall|christmas|easter|"
    r"(?:mon|tues|wednes|thurs|fri|satur|sun)day)|(?:years|months|weeks|days) ago|the other (?:day|night|week|evening)|"
    r"that (?:morning|night|evening|day|afternoon|summer)|this morning|used to|back in|"
    r"when i was (?:a|an|young|little|small|at|in)|"
    r"as a (?:boy|girl|lad|kid|child|student|teenager|young man|young woman)|"
    r"when i was [a-z]+(?:ty|teen)\b|on holiday|before i lit|"
    r"on (?:the|my) way (?:home|here|back)"
)
_PLACES = (
    r"(?:at|for) (?:a|an|the|my|his|her|our|their|[a-z]+ 's)(?: [a-z'’]+){0,3} "
    r"(?:wedding|party|funeral|barbecue|birthday|christening|restaurant)"
)
_OTHER = r"with (?:the|that|my|an) (?:old|other|fat|thin|big|little|different|cheap) [a-z]+|with another"
AWAY = re.compile(rf"\b(?:{_DAYS}|{_PLACES}|{_OTHER})\b")
HERE = re.compile(
    r"\b(?:with|beside|alongside|against|to|for|next to|near) (?:this|it|these|the (?:cigar|smoke)|mine|that)\b|"
    r"\b(?:one of (?:these|them)|today|tonight|now|still|(?:it|that) (?:all )?"
    r"(?:over )?again|this (?:time|evening|afternoon|one|cigar|smoke))\b"
)
_SMOKED = re.compile(r"\b(?:it|this|one|these) with\b")
"""The cigar was smoked with it: "last week I had it with a stout"; "my daughter likes it with cocoa" is her taste."""
_HAVING = frozenset({
    "have", "drink", "eat", "take", "swear", "love", "like", "prefer", "order", "sip", "get", "switch", "swap",
    "change", "live", "want", "make", "brew", "bake",
})
_SAYING = frozenset({"say", "suggest", "recommend", "reckon", "insist", "offer"})
_TRYING = frozenset({"try", "test", "taste"})
_UNREAL = re.compile(
    r"\bif (?:this|it|they|the (?:cigar|smoke|draw)) (?:was|were|had)(?: n't| not)?\b(?! (?:me|up to|my|i)\b)"
)


def elsewhere(tokens: Sequence[Token], span: tuple[int, int], start: int, stop: int) -> bool:
    """Whether the name at `span` was had elsewhere; `[start, stop)` are the tokens between its neighbours."""
    first, last = span
    if _UNREAL.search(_text(tokens[start:first])) or _supposed(tokens, span, start):
        return True
    clause = [
        t for i, t in enumerate(tokens[start:stop], start)
        if t.clause == tokens[first].clause and not first <= i < last
    ]
    around = tokens[start:stop]
    tried = any(a.lemma in _TRYING and b.lower not in ("like", "of") for a, b in pairwise(around))
    if tried or not any(t.tag in ("VBD", "VBN") for t in clause) or _here(tokens[start:stop], True):
        return False
    abroad = any(a.lower == "in" and b.pos == "PROPN" and b.text[:1].isupper() for a, b in pairwise(clause))
    return abroad or AWAY.search(_text(clause)) is not None


def _supposed(tokens: Sequence[Token], span: tuple[int, int], start: int) -> bool:
    """"If I had a bourbon in the house", "if I went with a stout": only supposed, and not with this cigar."""
    verb = governing(tokens, span[1] - 1)
    if verb is None or not start <= verb < span[0] or tokens[verb].tag not in ("VBD", "VBN"):
        return False
    who = subject_of(tokens, verb)
    marked = any(t.lower == "if" and t.head == verb for t in tokens[start:verb])
    own = [t for t in tokens if t.clause == tokens[span[0]].clause]
    return marked and who is not None and who.lower in ("i", "we", "you") and not _here(own, False)


def others(tokens: Sequence[Token], last: int, start: int, stop: int) -> bool:
    """Whether somebody else has what ends at token `last`, and it is not said to go with this cigar."""
    verb = governing(tokens, last - 1)
    if verb is None or not start <= verb < last or tokens[verb].lemma not in _HAVING | _SAYING or (
        tokens[verb].clause != tokens[last - 1].clause
    ):
        return False
    if any(t.lower in NEGATIONS for t in tokens[max(verb - 3, 0) : verb]):
        return False
    who = subject_of(tokens, verb)
    somebody = who is not None and (
        who.lower in PEOPLE or (who.pos == "PROPN" and tokens[verb].tag not in ("VB", "VBP"))
        or (who.pos == "NOUN" and tokens[verb].lemma in _SAYING)
    )
    tried = any(t.lower in ("i", "we") and tokens[t.head].lemma in _HAVING | _TRYING for t in tokens[last:stop])
    return somebody and not tried and not _here(tokens[start:stop], False)


def _here(tokens: Sequence[Token], smoked: bool) -> bool:
    """Whether the words say that it goes with this cigar; smoked: or that the cigar was smoked with it."""
    text = _text(tokens)
    return HERE.search(text) is not None or (smoked and _SMOKED.search(text) is not None)


def _text(tokens: Sequence[Token]) -> str:
    return " ".join(t.lower for t in tokens)
