"""How alike two spellings sound and look."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

import jellyfish
from rapidfuzz import fuzz

_LETTERS = re.compile(r"[^a-z0-9' ]+")


@lru_cache(maxsize=65536)
def fold(text: str) -> str:
    """Lower case, accents off, hyphens and other marks as blanks: how words are compared."""
    flat = unicodedata.normalize("NFD", text.lower().replace("’", "'"))
    bare = "".join(c for c in flat if not unicodedata.combining(c))
    return " ".join(_LETTERS.sub(" ", bare).split()).strip("'")


@lru_cache(maxsize=65536)
def key(text: str) -> str:
    """The Metaphone key (Philips 1990, by jellyfish) of the words run together: where a model puts blanks is chance."""
    return str(jellyfish.metaphone(fold(text).replace(" ", "").replace("'", "")))


def likeness(heard: str, right: str) -> float:
    """0 to 1: half the likeness of the keys, half that of the letters (rapidfuzz's ratio, Indel distance)."""
    a, b = fold(heard).replace(" ", ""), fold(right).replace(" ", "")
    if not a or not b:
        return 0.0
    return float(fuzz.ratio(key(heard), key(right)) + fuzz.ratio(a, b)) / 200
