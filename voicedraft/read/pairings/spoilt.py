"""Rule: the taste that the two make together tells that the name is refused: "it just made the thing taste like
dishwater", "the two of them come out like cough mixture", "it goes to syrup".

Not "would it taste like soap?". Denied, it is welcomed: "with a stout it never tasted of soap".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from typing import Literal

from voicedraft.lexicon import load_lexicon
from voicedraft.read.pairings.refusal import NEGATIONS
from voicedraft.read.pairings.tokens import Token

_CIGAR = frozenset({"thing", "cigar", "smoke", "mix", "combination", "pair", "flavour", "flavor", "finish", "lot",
                    "taste", "whole", "stick"})
"""Nouns for the cigar or for the two together: "the whole thing turns to mud"."""
_APART = frozenset({"without", "otherwise", "until", "before", "if", "unless", "other", "another", "alone", "own"})
"""With these the bad taste is of going without it, or of something else."""
_BEFORE = 8
"""Tokens before the bad taste in which a denial or another subject may stand; our own choice."""


@cache
def _bad_taste() -> re.Pattern[str]:
    words = "|".join(sorted(load_lexicon().table("pairings")["cues"]["spoilt"], key=len, reverse=True))
    filled = r"(?:(?:an?|the|my|old|wet|pure|straight|some|licking|drinking|chewing|sucking|all|just|bad|cold) )*"
    end = r"(?= ?[,;.!?:—–-]|$| (?:and|with|in|on|after|every|again|at|straight|for me))"
    verbs = r"(?:tast|smell)(?:e|es|ed|ing)(?: (?:just|only|more|exactly|rather|a bit|like))*? (?:like|of)"
    turning = (
        r"(?:turn|turns|turned|go|goes|went|come|comes|came|end|ends|ended)(?: (?:it|that|this|everything|both))?"
        r"(?: the (?:thing|cigar|smoke|whole thing|lot))?(?: (?:all|out|up|off|over|straight|right))* (?:to|into|like)"
    )
    return re.compile(rf"\b(?:{verbs}|{turning}) {filled}(?:{words})\b{end}")


_JOINT = frozenset({"it", "this", "neither", "they"}) | _CIGAR
"""What a denied bad taste must be of to welcome the name."""


def spoilt(tokens: Sequence[Token]) -> list[tuple[int, Literal["yes", "no"]]]:
    """Where, as characters of the tokens' text in small letters, such a taste has been told or denied."""
    text = " ".join(t.lower for t in tokens)
    out: list[tuple[int, Literal["yes", "no"]]] = []
    for found in _bad_taste().finditer(text):
        if re.match(r"[^,;.!]*\?", text[found.end() :]):
            continue
        at = text[: found.start()].count(" ")
        own = [t for t in tokens[max(at - _BEFORE, 0) : at + 1] if t.clause == tokens[at].clause]
        words = {t.lower for t in tokens[max(at - _BEFORE, 0) : at + 4]}
        another = any(
            t.dep == "nsubj" and t.pos in ("NOUN", "PROPN") and t.lemma not in _CIGAR for t in own
        )
        tells = any(t.dep == "nsubj" for t in own) or "with" in words or "with" in text[found.end() :].split()[:2]
        if not tells or another or not words.isdisjoint(_APART):
            continue
        if not any(t.lower in NEGATIONS for t in own):
            out.append((found.end(), "no"))
        elif any(t.dep == "nsubj" and t.lower in _JOINT for t in own):
            out.append((found.end(), "yes"))
    return out


def never_spoilt(tokens: Sequence[Token], first: int) -> bool:
    """"It never tastes like metal with a (rum)": a bad taste that the name at `first` is denied to give."""
    own = [t for t in tokens[:first] if t.clause == tokens[first].clause]
    text = " ".join(t.lower for t in own)
    found = _bad_taste().search(text)
    if found is None or not re.fullmatch(r" with(?: (?:an?|the|some))?(?: [a-z]+)?", text[found.end() :]):
        return False
    return any(t.lower in NEGATIONS for t in own) and any(t.dep == "nsubj" and t.lower in _JOINT for t in own)
