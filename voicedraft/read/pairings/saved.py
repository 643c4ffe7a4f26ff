"""Rule: what is kept for a later part of this cigar is wanted: "I'd keep the tawny port for the last third".

Not "keep the champagne for the wedding", "save the port for the end of the week", "I wouldn't keep gin for the end".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from voicedraft.read.pairings.governed import governing, subject_of
from voicedraft.read.pairings.refusal import NEGATIONS
from voicedraft.read.pairings.tokens import Token

_KEEPING = frozenset({"keep", "save", "hold", "reserve", "leave"})
_PART = re.compile(
    r"(?:back |over |aside )?(?:for|till|until) (?:the |its |my |your )?(?:very )?"
    r"(?:(?:last|final|second|closing|back) (?:third|half|part|bit|inch|inches|stretch|leg|quarter|puffs?|few puffs)"
    r"|(?:end|finish|nub|home straight)(?! of (?!it\b|this\b|the (?:cigar|smoke)\b)))\b"
)
_PARTED = re.compile(r"of (?:the|my|our|a|that|his|her) (?!cigar|smoke|stick|thing)")
"""The part of something else: "the second half of the match"."""
_INNER = frozenset({"DET", "ADJ", "NOUN", "PROPN", "CCONJ", "PRON", "PART", "NUM", "VERB", "ADP"})
_IF = frozenset({"if", "unless", "used", "usually", "when"})


def saved(tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int) -> Literal["yes", "none", ""]:
    """"yes" where the name at `spans[k]`, or those joined to it, is kept for a later part of the cigar; "none" where
    that is denied or only supposed: "don't leave the coffee until the end" says when, not whether."""
    verb = governing(tokens, spans[k][1] - 1)
    if verb is None or verb >= spans[k][0] or tokens[verb].lemma not in _KEEPING or tokens[verb].tag == "VBD":
        return ""
    who = subject_of(tokens, verb)
    if (who is not None and who.lower not in ("i", "we", "you")) or any(
        t.pos not in _INNER for t in tokens[verb + 1 : spans[k][0]]
    ):
        return ""
    text = " ".join(t.lower for t in tokens[_end(tokens, spans, k) :])
    found = _PART.match(text)
    if found is None or _PARTED.match(text[found.end() :].lstrip()):
        return ""
    if tokens[-1].text == "?":
        return "none"
    return "none" if any(t.lower in NEGATIONS | _IF for t in tokens[max(verb - 4, 0) : verb]) else "yes"


def _end(tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int) -> int:
    """One past the last name that "and" or "or" joins to the one at `spans[k]`."""
    last = spans[k][1]
    for a, b in spans[k + 1 :]:
        if any(t.lower not in ("and", "or") and t.pos != "DET" for t in tokens[last:a]):
            break
        last = b
    return last
