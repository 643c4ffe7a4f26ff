"""How the trade talks: how likely a word is after the one before it, counted on the annotated sessions.

The names of flavours, of leaf and places, and of sizes are counted as three kinds, so that a flavour that nobody named
before is expected wherever flavours are. Kneser and Ney 1995 (absolute discounting, from memory); pairs seen once are
left out, and what they had goes to the word alone.
"""

from __future__ import annotations

import lzma
import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from voicedraft.hear.repair.context import places, strings
from voicedraft.hear.repair.sound import fold
from voicedraft.hear.repair.unknown import known_words
from voicedraft.lexicon import Lexicon
from voicedraft.weight_file import fingerprint_of, named

FILE = Path(__file__).resolve().parent / "weights" / "habit.xz"
END, NUMBER = "</s>", "#"
DISCOUNT = 0.8
"""Taken from each counted pair for the pairs that were never seen; tried from 0.6 to 0.9 on held-out speakers."""
COMMON, STRANGE = 0.7 / 22_000, 0.3 / 300_000
"""Share of an unseen word that is common English, and of one that is not (sizes of the two vocabularies, about)."""
PLACE = 5.0
"""What one more word costs in nats, about the mean of a word's own, so that saying less is not likelier by itself."""
_SMALL = frozenset((
    "the", "a", "of", "and", "to", "in", "it", "is", "on", "that", "this", "for", "with", "as", "at", "by", "my",
))
NUMBER_WORDS = frozenset((
    "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen",
    "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty", "thirty", "forty", "fifty", "sixty", "seventy",
    "eighty", "ninety", "hundred", "thousand",
))


@lru_cache(maxsize=65536)
def tokens(text: str) -> tuple[str, ...]:
    """The folded words of a text; any number is NUMBER, a possessive stands apart, a full stop is END."""
    out: list[str] = []
    for raw in text.replace("-", " ").replace("—", " ").split():
        for word in fold(raw).split():
            if word in NUMBER_WORDS or any(c.isdigit() for c in word):
                out += [NUMBER] if out[-1:] != [NUMBER] else []
            elif word.endswith("'s") and len(word) > 2:
                out += [word[:-2], "'s"]
            else:
                out.append(word)
        if raw.rstrip("\"'”’)")[-1:] in (".", "?", "!") and out[-1:] != [END]:
            out.append(END)
    return tuple(out)


def kinds(lexicon: Lexicon) -> dict[str, str]:
    """Each single word of the lexicon's names → its kind, in capitals, which no folded word is."""
    trade = lexicon.tables.get("trade", {})
    sizes = [w for part in ("vitola", "shape") for w in (*trade.get(part, {}), *strings(trade.get(part, {})))]
    names = [("FLAVOUR", lexicon.forms), ("LEAF", [*strings(trade.get("leaf", {})), *places(lexicon)]), ("SIZE", sizes)]
    return {w: kind for kind, forms in names for form in forms for w in fold(form).split() if w not in _SMALL}


@dataclass(frozen=True)
class Counts:
    """What the file holds: how often each word was said, which of them count as their kind, and how often two words
    (or kinds) followed one another."""

    words: Mapping[str, int]
    plain: frozenset[str]
    pairs: Mapping[tuple[str, str], int]


class Habit:
    """Logarithms of probabilities by `Counts` and the lexicon's kinds."""

    def __init__(self, counts: Counts, lexicon: Lexicon) -> None:
        self._words, self._pairs = counts.words, counts.pairs
        self._kinds = {w: k for w, k in kinds(lexicon).items() if w not in counts.plain}
        self._within = Counter(self._kinds.values())
        for word, n in counts.words.items():
            if word in self._kinds:
                self._within[self._kinds[word]] += n
        self._of_kind: Counter[str] = Counter()
        for word, n in counts.words.items():
            self._of_kind[self._kinds.get(word, word)] += n
        self._all = sum(counts.words.values())
        self._left: dict[str, float] = {}
        for (before, _), n in counts.pairs.items():
            self._left[before] = self._left.get(before, 0.0) + n - DISCOUNT
        self._english = known_words()
        self._kept: dict[tuple[str, str], float] = {}

    def seen(self, word: str) -> bool:
        """Whether the word was said in a session or is a name of the lexicon."""
        return word in self._words or word in self._kinds

    def after(self, before: str, word: str) -> float:
        """Natural logarithm of the probability of `word` right after `before`."""
        found = self._kept.get((before, word))
        if found is None:
            found = self._kept[before, word] = self._after(self._kinds.get(before, before), word)
        return found

    def _after(self, before: str, word: str) -> float:
        kind = self._kinds.get(word, word)
        alone = self._of_kind.get(kind, 0) / (self._all + len(self._of_kind))
        alone += (COMMON if word in self._english else STRANGE) * len(self._of_kind) / (self._all + len(self._of_kind))
        total, share = self._of_kind.get(before, 0), alone
        if total:
            left = 1.0 - self._left.get(before, 0.0) / total
            share = max(0.0, self._pairs.get((before, kind), 0) - DISCOUNT) / total + max(left, 0.01) * alone
        if kind != word:
            share *= (self._words.get(word, 0) + 1) / self._within[kind]
        return math.log(share)

    def run(self, before: str, words: Sequence[str], after: Iterable[str]) -> float:
        """Log probability of `words` between the word before and those after them, with what the words' number costs
        taken off."""
        total = PLACE * len(words)
        for word in (*words, *after):
            total += self.after(before, word)
            before = word
        return total


def load(lexicon: Lexicon, file: Path = FILE) -> Habit:
    """The counts that come with the program, or those of `file`. Raises ModelError where the file is broken."""
    return Habit(_read(file), lexicon)


def fingerprint(file: Path = FILE) -> str:
    """Changes when the counts change; part of the key of a kept hearing. Raises ModelError where there is none."""
    return fingerprint_of("habit", file, 16)


@lru_cache(maxsize=2)
def _read(file: Path) -> Counts:
    with named("habit", file):
        lines = lzma.decompress(file.read_bytes()).decode().split("\n")
        texts, counts, plain, pairs = (line.split(" ") for line in lines)
        numbers = [int(n) for n in counts]
        found: dict[tuple[str, str], int] = {}
        for first, row in enumerate(pairs):
            at = 0
            for step in filter(None, row.split(",")):
                gap, _, n = step.partition(":")
                at += int(gap, 36)
                found[texts[first], texts[at]] = int(n or 2)
        return Counts({t: n for t, n in zip(texts, numbers, strict=True) if n}, frozenset(
            t for t, p in zip(texts, plain, strict=True) if p == "1"), found)


def save(counts: Counts, file: Path) -> None:
    """Four lines, packed: words, how often, whether each counts as itself, and for each the pairs that it begins."""
    texts = sorted({*counts.words, *(w for pair in counts.pairs for w in pair)})
    index = {t: i for i, t in enumerate(texts)}
    rows: list[list[str]] = [[] for _ in texts]
    last = [0] * len(texts)
    for (first, second), n in sorted(counts.pairs.items(), key=lambda p: (index[p[0][0]], index[p[0][1]])):
        gap, last[index[first]] = index[second] - last[index[first]], index[second]
        rows[index[first]].append(_base36(gap) + (f":{n}" if n > 2 else ""))
    lines = (" ".join(texts), " ".join(str(counts.words.get(t, 0)) for t in texts),
             " ".join("1" if t in counts.plain else "0" for t in texts), " ".join(",".join(r) for r in rows))
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(lzma.compress("\n".join(lines).encode(), preset=9 | lzma.PRESET_EXTREME))


def _base36(number: int) -> str:
    digits = "0123456789abcdefghijklmnopqrstuvwxyz"
    out = digits[number % 36]
    while number := number // 36:
        out = digits[number % 36] + out
    return out
