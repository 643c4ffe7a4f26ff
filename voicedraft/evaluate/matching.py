"""When two terms, names or prices count as the same, as the figures define it."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from typing import Any

_WORD = re.compile(r"[\w']+")
_SPELLING = {
    "flavor": "flavour", "flavors": "flavours", "gray": "grey", "licorice": "liquorice", "molasse": "molasses",
    "whisky": "whiskey", "color": "colour",
}
_DEMONYM = {
    "ecuadorian": "ecuador", "nicaraguan": "nicaragua", "dominican": "dominican republic", "honduran": "honduras",
    "mexican": "mexico", "indonesian": "indonesia", "peruvian": "peru", "brazilian": "brazil", "cuban": "cuba",
    "american": "usa", "cameroonian": "cameroon", "costa": "costa rica",
}
_SMALL = frozenset({"a", "an", "the", "some", "of", "and", "with", "from", "in", "de", "leaf", "tobacco", "wrapper",
                    "binder"})
CLOSE = 0.85
"""Spelling likeness (difflib ratio) from which two names are the same."""


def fold(text: str) -> str:
    """Lower case without accents."""
    return unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()


def tokens(text: str) -> list[str]:
    """The words of a text, folded, without punctuation."""
    return [w for w in (raw.strip("'") for raw in _WORD.findall(fold(text))) if w]


def singular(word: str) -> str:
    """A word without its plural or -ness ending, in one spelling."""
    word = _SPELLING.get(word, word)
    for ending, cut, more, longer in (("iness", 5, "y", 7), ("ness", 4, "", 6), ("ies", 3, "y", 4)):
        if word.endswith(ending) and len(word) > longer:
            return word[:-cut] + more
    if word.endswith(("ches", "shes", "sses", "xes")):
        return word[:-2]
    if word.endswith("s") and not word.endswith(("ss", "us", "is", "molasses")) and len(word) > 3:
        return word[:-1]
    return word


def key(text: str) -> tuple[str, ...]:
    """The content words of a term, singular."""
    return tuple(singular(w) for w in tokens(text) if w not in _SMALL)


def term_credit(a: str, b: str) -> float:
    """1 for the same term, 0.5 where one is the other with fewer or more modifiers, else 0."""
    ka, kb = key(a), key(b)
    if not ka or not kb:
        return 0.0
    if set(ka) == set(kb):
        return 1.0
    return 0.5 if set(ka) <= set(kb) or set(kb) <= set(ka) else 0.0


def similar(a: Any, b: Any) -> bool:
    """The same name with other small words: every content word of `a` in `b`, or at least half of them and no other."""
    ka = {_DEMONYM.get(w, w) for w in key(str(a))}
    kb = {_DEMONYM.get(w, w) for w in key(str(b))}
    if not ka or not kb:
        return False
    if ka <= kb or (kb <= ka and 2 * len(kb) >= len(ka)):
        return True
    return difflib.SequenceMatcher(None, fold(str(a)), fold(str(b))).ratio() >= CLOSE


def money(want: Any, got: Any) -> bool:
    """Two prices whose amounts agree to the penny, and whose currency and count are equal."""
    if not isinstance(got, Mapping):
        return False
    return all(
        k in got and (abs(got[k] - v) < 0.006 if isinstance(v, (int, float)) and got[k] is not None else got[k] == v)
        for k, v in want.items()
    )


def near(tolerance: float) -> Callable[[Any, Any], bool]:
    """A comparison of numbers within `tolerance`, in their own unit."""
    return lambda want, got: isinstance(got, (int, float)) and abs(want - got) <= tolerance


def pair(
    gold: Sequence[Any], read: Sequence[Any], weigh: Callable[[Any, Any], float]
) -> list[tuple[int, int, float]]:
    """Greedy one-to-one pairing, best weight first: (gold index, read index, weight)."""
    table = sorted(
        ((weigh(g, r), i, j) for i, g in enumerate(gold) for j, r in enumerate(read)), key=lambda row: -row[0]
    )
    out: list[tuple[int, int, float]] = []
    used_gold: set[int] = set()
    used_read: set[int] = set()
    for weight, i, j in table:
        if weight > 0 and i not in used_gold and j not in used_read:
            out.append((i, j, weight))
            used_gold.add(i)
            used_read.add(j)
    return out


def many(want: Sequence[Any], got: Any) -> bool:
    """Every wanted name found once, and at most one more read."""
    names = got if isinstance(got, (list, tuple)) else [got]
    return len(pair(want, names, lambda a, b: float(similar(a, b)))) == len(want) and len(names) <= len(want) + 1
