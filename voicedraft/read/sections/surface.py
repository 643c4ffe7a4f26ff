"""What the words of a sentence say by themselves: cue rules, section words of the lexicon, flavours, grammar.

Every column has a name, so that the evidence can be told in words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.sections.cues import RULES, find
from voicedraft.read.sections.labels import Floats

_WORD = re.compile(r"[\w£$€¥₹%][\w'’\-]*")
_LISTS = (
    "background", "appearance", "prelight", "first_third", "second_third", "final_third", "burn", "palate", "value",
    "verdict", "pairings", "aside",
)
_TALK = ("look_ahead", "look_back")
_GRAMMAR = (
    "short", "long", "no verb", "past tense", "present tense", "future", "first person", "second person",
    "third person", "numbers", "many names", "question mark",
)
LEXICON_NAMES: tuple[str, ...] = (
    *(f"opener of {n}" for n in _LISTS), *(f"words of {n}" for n in _LISTS), *(f"phrases of {n}" for n in _TALK),
    "flavours", "several flavours",
)
CUE_NAMES: tuple[str, ...] = tuple(r.name for r in RULES)
NAMES: tuple[str, ...] = CUE_NAMES + LEXICON_NAMES + _GRAMMAR
_LONGEST = 6
_OPENER_REACH = 4


@dataclass(frozen=True, slots=True)
class Sight:
    """Column `column` of the surface was seen at characters `[first, last)` of the sentence."""

    column: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Surface:
    """`rows`: (sentences, len(NAMES)). `sights[i]` are the places of cues and lexicon words in sentence i.

    `grams[i]`: the words and pairs of words of sentence i, each once.
    """

    rows: Floats
    sights: tuple[tuple[Sight, ...], ...]
    grams: tuple[tuple[str, ...], ...]


class _Key:
    """A lexicon's parts as one hashable key: the same lexicon is indexed once."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.value: Mapping[str, Any] = lexicon.table("sections")
        self.forms = lexicon.forms

    def __hash__(self) -> int:
        return id(self.value)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Key) and other.value is self.value and other.forms is self.forms


@dataclass(frozen=True, slots=True)
class _Phrases:
    """`columns`: phrase → surface columns. `longest`: first word → words of the longest phrase that it begins."""

    columns: Mapping[str, tuple[int, ...]]
    longest: Mapping[str, int]


@lru_cache(maxsize=4)
def _phrases(tables: _Key) -> _Phrases:
    """The phrases of a lexicon."""
    out: dict[str, list[int]] = {}
    base = len(CUE_NAMES)
    for n, name in enumerate(_LISTS):
        for kind, first in (("openers", 0), ("evidence", len(_LISTS))):
            for phrase in tables.value.get(name, {}).get(kind, ()):
                out.setdefault(_plain(phrase), []).append(base + first + n)
    for n, name in enumerate(_TALK):
        for phrase in tables.value.get(name, {}).get("phrases", ()):
            out.setdefault(_plain(phrase), []).append(base + 2 * len(_LISTS) + n)
    flavour = base + LEXICON_NAMES.index("flavours")
    for form in tables.forms:
        out.setdefault(_plain(form), []).append(flavour)
    longest: dict[str, int] = {}
    for phrase in out:
        words = phrase.split()
        if words:
            longest[words[0]] = max(longest.get(words[0], 0), min(_LONGEST, len(words)))
    return _Phrases({k: tuple(v) for k, v in out.items()}, longest)


def _plain(text: str) -> str:
    return " ".join(m.group().lower().replace("’", "'") for m in _WORD.finditer(text))


def _matches(text: str, phrases: _Phrases) -> Iterator[tuple[int, int, int, int]]:
    """(column, first character, last character, number of the word) of each lexicon phrase, longest first."""
    found = list(_WORD.finditer(text))
    words = [m.group().lower().replace("’", "'") for m in found]
    for i, word in enumerate(words):
        for n in range(min(phrases.longest.get(word, 0), len(words) - i), 0, -1):
            for column in phrases.columns.get(" ".join(words[i : i + n]), ()):
                yield column, found[i].start(), found[i + n - 1].end(), i


def _grammar(doc: Any, text: str) -> list[float]:
    tags = [t.tag_ for t in doc]
    words = [t.lower_ for t in doc]
    n = max(1, len(words))
    verbs = sum(t.startswith(("V", "MD")) for t in tags)
    past = sum(t in ("VBD", "VBN") for t in tags)
    present = sum(t in ("VBZ", "VBP") for t in tags)
    who = [sum(w in group for w in words) for group in _PERSONS]
    return [
        float(n <= 5), min(1.0, n / 40), float(verbs == 0), past / max(1, verbs), present / max(1, verbs),
        float("'ll" in words or "will" in words or "gonna" in words), float(who[0] > 0), float(who[1] > 0),
        float(who[2] > 0), min(1.0, sum(t == "CD" for t in tags) / 3),
        min(1.0, sum(t == "NNP" for t in tags) / 4), float("?" in text),
    ]


_PERSONS = (
    frozenset({"i", "me", "my", "mine", "we", "us", "our"}), frozenset({"you", "your", "yours", "y'all"}),
    frozenset({"he", "she", "they", "him", "her", "them", "his", "their"}),
)


def _grams(doc: Any) -> tuple[str, ...]:
    tokens = [t for t in doc if not t.is_punct and not t.is_space]
    lower = [t.lower_ for t in tokens]
    out = {t.lemma_.lower() for t in tokens} | {f"{a}_{b}" for a, b in pairwise(lower)}
    if lower:
        out.add("^" + lower[0])
    if len(lower) > 1:
        out.add(f"^{lower[0]}_{lower[1]}")
    return tuple(sorted(out))


def surface(analysis: Analysis, lexicon: Lexicon) -> Surface:
    """Cues, lexicon words and grammar of every sentence."""
    phrases = _phrases(_Key(lexicon))
    base, flavour = len(CUE_NAMES), len(CUE_NAMES) + LEXICON_NAMES.index("flavours")
    rows = np.zeros((len(analysis.sentences), len(NAMES)))
    sights: list[tuple[Sight, ...]] = []
    for i, (sentence, doc) in enumerate(zip(analysis.sentences, analysis.docs, strict=True)):
        seen = [Sight(h.number, h.first, h.last) for h in find(sentence.text)]
        for column, first, last, word in _matches(sentence.text, phrases):
            if base <= column < base + len(_LISTS) and word > _OPENER_REACH:
                continue
            seen.append(Sight(column, first, last))
        for sight in seen:
            rows[i, sight.column] += 1
        rows[i, flavour + 1] = float(rows[i, flavour] > 2)
        rows[i, :flavour + 1] = np.minimum(rows[i, :flavour + 1], 3) ** 0.5
        rows[i, -len(_GRAMMAR) :] = _grammar(doc, sentence.text)
        sights.append(tuple(seen))
    return Surface(rows, tuple(sights), tuple(_grams(d) for d in analysis.docs))
