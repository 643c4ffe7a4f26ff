"""Finds the words of each annotated descriptor in the session, so that there is something to learn from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from voicedraft.read.descriptors.terms import key, stem, words
from voicedraft.read.descriptors.tokens import Tokens

HOME = {"first": "first", "second": "second", "final": "final", "wrapper": "prelight", "foot": "prelight",
         "cold_draw": "prelight", "room": "after"}


@dataclass(frozen=True, slots=True)
class Aligned:
    """Descriptor `index` of the gold over tokens `[first, last)`; `whole` where every word of its term lies there."""

    index: int
    first: int
    last: int
    whole: bool


def align(gold: dict[str, Any], row: Tokens) -> list[Aligned]:
    """One span for each gold descriptor whose words are found; the quote decides among several."""
    flat = [(stem(w), t.index) for t in row.rows for w in words(t.text)]
    spelt = [w for w, _ in flat]
    out: list[Aligned] = []
    used: set[tuple[int, str]] = set()
    for n, entry in enumerate(gold["descriptors"]):
        term = key(entry["term"])
        quote = _stems(entry["quote"], row)
        best: tuple[float, Aligned] | None = None
        for at in _occurrences(spelt, quote):
            for back, ahead in ((0, 0), (14, 14), (60, 25)):
                low, high = max(0, at - back), min(len(flat), at + len(quote) + ahead)
                found = _window(spelt, low, high, term, at + len(quote))
                if found is None:
                    continue
                a, b, whole = found
                first, last = flat[a][1], flat[b - 1][1] + 1
                passage = row.passage(first)
                right = passage is not None and passage.stage == HOME[entry["stage"]]
                cost = (not whole) * 4 + back / 10 + (not right) * 2 + 3 * ((first, entry["stage"]) in used)
                if best is None or cost < best[0]:
                    best = (cost, Aligned(n, first, last, whole))
                if whole:
                    break
        if best is not None:
            out.append(best[1])
            used.add((best[1].first, entry["stage"]))
    return out


def _stems(text: str, row: Tokens) -> list[str]:
    """The quote's words cut as the tokens are ("isn't" is two)."""
    from voicedraft.read.analysis import language

    return [stem(w) for t in language().tokenizer(text) for w in words(t.text)]


def _occurrences(spelt: list[str], quote: list[str]) -> list[int]:
    n = len(quote)
    return [i for i in range(len(spelt) - n + 1) if spelt[i] == quote[0] and spelt[i : i + n] == quote]


def _window(spelt: list[str], low: int, high: int, term: tuple[str, ...], near: int) -> tuple[int, int, bool] | None:
    """The term's words side by side (small words between allowed) within `[low, high)`, nearest to `near`; else its
    last word alone."""
    whole = []
    for i in range(low, high):
        if spelt[i] != term[0]:
            continue
        k, j = 1, i + 1
        while k < len(term) and j < min(high, i + len(term) + 3):
            k += spelt[j] == term[k]
            j += 1
        if k == len(term):
            whole.append((i, j))
    if whole:
        a, b = min(whole, key=lambda p: (abs(p[0] - near) if p[1] > near else near - p[1], p))
        return a, b, True
    lone = [i for i in range(low, high) if spelt[i] == term[-1]]
    if lone:
        i = min(lone, key=lambda p: abs(p - near))
        return i, i + 1, False
    return None
