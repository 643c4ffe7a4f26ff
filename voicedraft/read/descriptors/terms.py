"""How a flavour is written down: lower case, singular, a taste said as an adjective written as its noun."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from voicedraft.read.descriptors.tokens import Tokens

_WORD = re.compile(r"[\w']+")
_SPELLING = {"flavor": "flavour", "gray": "grey", "licorice": "liquorice", "whisky": "whiskey", "color": "colour"}

TASTES = {
    "sweet": "sweetness", "bitter": "bitterness", "sour": "sourness", "salty": "saltiness", "harsh": "harshness",
    "tart": "tartness", "sharp": "sharpness", "savoury": "savouriness", "soapy": "soapiness",
}
"""A taste or fault said as an adjective, and the noun that it is written as. Sweet, sour, bitter and salty are basic
tastes in ISO 5492; the rest are general English."""

_KEEP_S = ("ss", "us", "is")
_SAME = frozenset({
    "molasses", "lens", "schnapps", "sassafras", "gas", "christmas", "canvas", "pampas", "chaos", "rooibos",
    "speculoos", "calvados", "bitters", "grits", "asbestos",
})
_LEAVES = {"leaves": "leaf", "loaves": "loaf", "halves": "half", "hooves": "hoof"}


def words(text: str) -> list[str]:
    """The folded words of a text: lower case, no accents, no marks."""
    text = unicodedata.normalize("NFKD", text.replace("’", "'")).encode("ascii", "ignore").decode().lower()
    return [w for w in (w.strip("'").removesuffix("'s") for w in _WORD.findall(text)) if w and w != "s"]


def stem(word: str) -> str:
    """A word without plural or -ness, so that "sweet" meets "sweetness" and "raisins" meets "raisin"."""
    word = _SPELLING.get(word, word)
    if word.endswith("iness") and len(word) > 7:
        return word[:-5] + "y"
    if word.endswith("ness") and len(word) > 6:
        return word[:-4]
    return singular(word)


def singular(word: str) -> str:
    """The singular of a regular English plural; other words as they are."""
    if word in _LEAVES:
        return _LEAVES[word]
    if word in _SAME or len(word) <= 3 or word.endswith(_KEEP_S) or not word.endswith("s"):
        return word
    if word.endswith("ies") and len(word) > 4:
        return word[:-3] + ("ie" if word in ("cookies", "brownies", "pies", "smoothies") else "y")
    if word.endswith(("ches", "shes", "sses", "xes", "zzes")):
        return word[:-2]
    return word[:-1]


_SMALL = frozenset({"a", "an", "the", "some", "of", "and", "with", "from", "in", "de"})


def key(text: str) -> tuple[str, ...]:
    """The words of a term by which two mentions are compared."""
    return tuple(stem(w) for w in words(text) if w not in _SMALL)


def written(row: Tokens, first: int, last: int, after: int = 0) -> str:
    """The term of tokens `[first, last)` as a draft prints it: "Pencil shavings" is "pencil shaving".

    after: how many tokens behind it hold a modifier said late ("pepper, white"), which goes in front.
    """
    rows = row.rows
    begin, end = rows[first].word, rows[last - 1].word
    out = ""
    for i in range(first, last):
        t = rows[i]
        glued = i > first and (t.word == rows[i - 1].word)
        out += t.lower if glued or not out else " " + t.lower
    out = out.replace("’", "'").strip(" .,;:!?-'\"")
    if end == begin and out in TASTES:
        return TASTES[out]
    *front, final = out.split(" ")
    late = [rows[last + after - 1].lower] if after else []
    return " ".join([*late, *front, final if final.endswith("'s") else singular(final)])
