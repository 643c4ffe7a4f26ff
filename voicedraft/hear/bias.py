"""The words that a take is likely to hold, told to the model before it listens.

A prompt can only weigh what is heard: it is short, chosen by the take's place in the session, and `guard` throws out a
window in which the model reads the prompt back.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from voicedraft.lexicon import Lexicon

MOST_WORDS = 50
"""Words in a prompt. Measured: fifty raise the recall of trade words most; a longer list starts to leak."""

PHRASES = 4
"""Words in one sentence of the prompt. Measured against lists with commas or full stops only."""


def bias_words(lexicon: Lexicon, place: float, cigar: str, named: Sequence[str]) -> list[str]:
    """Words and phrases for a take, the surest first, at most MOST_WORDS single words in all.

    place: 0 for the first take of the session to 1 for the last. named: trade words that this session has already
    said, latest last.
    """
    table = lexicon.tables.get("hearing", {})
    part = "early" if place < 1 / 3 else "middle" if place < 2 / 3 else "late"
    queue = [cigar, *_list(table, "own"), *_list(table, "always"), *list(named)[::-1][:12], *_list(table, part)]
    out: list[str] = []
    left = MOST_WORDS
    for phrase in _unique(queue):
        size = len(phrase.split())
        if size <= left:
            out.append(phrase)
            left -= size
    return out


def prompt(words: Sequence[str]) -> str:
    """The words as the model is told them: short sentences, since it takes up the punctuation of its prompt too.

    One long list makes it write a take as one sentence; a full stop after each word makes it stop too often.
    """
    groups = [words[i : i + PHRASES] for i in range(0, len(words), PHRASES)]
    return " ".join(f"{', '.join(g)[:1].upper()}{', '.join(g)[1:]}." for g in groups)


def fingerprint(lexicon: Lexicon, cigar: str) -> str:
    """Changes when the words that could be told change; part of the key of a kept hearing."""
    told = [prompt(bias_words(lexicon, place, cigar, ())) for place in (0.0, 0.5, 1.0)]
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:16]


def named_terms(lexicon: Lexicon, texts: Iterable[str]) -> list[str]:
    """Trade words of the prompt lists that `texts` hold, in the order of the lists: once said, they are said again."""
    said = " ".join(" ".join(texts).lower().replace(",", " ").replace(".", " ").split())
    table = lexicon.tables.get("hearing", {})
    lists = [w for part in ("early", "middle", "late") for w in _list(table, part)]
    return [w for w in _unique(lists) if f" {w.lower()} " in f" {said} "]


def _list(table: Mapping[str, Any], key: str) -> list[str]:
    return [w for w in table.get(key, ()) if isinstance(w, str)]


def _unique(words: Iterable[str]) -> Iterable[str]:
    seen: set[str] = set()
    for word in words:
        if word.strip() and word.lower() not in seen:
            seen.add(word.lower())
            yield word.strip()
