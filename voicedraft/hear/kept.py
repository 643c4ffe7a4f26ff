"""What a second hearing may not change: a denial and a number are as they were heard first.

One small word more or less turns what was said into its opposite or into another figure, and habit cannot judge it: all
numbers are one token to it, and "it is bitter" is as good as "it is not bitter".
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from voicedraft.hear.habit import NUMBER_WORDS
from voicedraft.hear.repair.sound import fold

DENIALS = frozenset((
    "not", "no", "never", "without", "nor", "none", "nothing", "neither", "nobody", "nowhere", "nope", "nah",
))
"""English words that deny (from memory of any grammar); a word on n't, and "cannot", counts as "not"."""
_SHORT = frozenset(("cannot", "aint", "dont", "doesnt", "didnt", "isnt", "wasnt", "wont", "wouldnt", "cant", "couldnt"))
"""Denials run together, as a recogniser writes them now and then."""
NUMBERS = NUMBER_WORDS | frozenset((
    "zero", "nil", "one", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
    "eleventh", "twelfth", "thirds", "quarter", "quarters", "half", "halves", "point", "dozen", "million", "once",
    "twice", "tens", "twenties", "thirties", "forties", "fifties", "sixties", "seventies", "eighties", "nineties",
))
"""Number words, ordinals and parts (from memory of English); "pair" and "couple" are left out, they sound like "pear"
and "supple" and seldom count."""
_DIGITS = re.compile(r"[$€£+-]?\d+(?:[.,:/-]\d+)*[a-z%]*|[¼½¾⅓⅔⅛]")


def denials(texts: Sequence[str]) -> Counter[str]:
    """The denying words among printed words, and how often each stands there."""
    words = (w for text in texts for w in fold(text).split())
    return Counter("not" if w.endswith("n't") or w in _SHORT else w
                   for w in words if w in DENIALS or w in _SHORT or w.endswith("n't"))


def numbers(texts: Sequence[str]) -> list[str]:
    """The numbers among printed words in their order, as they are written: "12" is not "twelve"."""
    out: list[str] = []
    for text in texts:
        digits = _DIGITS.findall(text.lower())
        out += digits or [w for w in fold(text).split() if w in NUMBERS]
    return out


def may_stand(first: Sequence[str], second: Sequence[str]) -> bool:
    """Whether printed words of a second hearing may take the place of those of the first."""
    return denials(first) == denials(second) and numbers(first) == numbers(second)
