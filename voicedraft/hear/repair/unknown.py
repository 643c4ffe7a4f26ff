"""Words that no English reader knows and that sound like a word of the trade: "haloppa" for Jalapa."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import lru_cache
from pathlib import Path

from tokenizers import Tokenizer

from voicedraft.hear.repair.context import CLOSE, places, strings
from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold, likeness
from voicedraft.lexicon import Lexicon
from voicedraft.models import model_path

LEAST, MARGIN = 0.78, 0.04
"""Likeness from which an unknown word is taken for a word of the trade, and its lead over the next best."""
LEAST_SURE = 0.75
"""A word that the recogniser is surer of than this stays, unknown or not."""
_NEAR = frozenset(("wrapper", "binder", "filler", "leaf", "tobacco", "seed", "vitola", "ring", "gauge", "inches"))


@lru_cache(maxsize=1)
def _known(folder: Path) -> frozenset[str]:
    vocabulary = Tokenizer.from_file(str(folder / "tokenizer.json")).get_vocab()
    return frozenset(word for word in vocabulary if word.isalpha())


def known_words() -> frozenset[str]:
    """Whole words in the vocabulary of the sentence model: some 22,000 that are common in English print."""
    return _known(model_path("all-MiniLM-L6-v2-int8"))


def as_said(name: str) -> str:
    """A Spanish name in English letters as it sounds: "jalapa" is heard as "halapa"; j, ll, ñ, z, qu (from memory)."""
    sounds = (("ñ", "ny"), ("ll", "y"), ("j", "h"), ("z", "s"), ("qu", "k"), ("ch", "tch"))
    out = name.lower()
    for letters, sound in sounds:
        out = out.replace(letters, sound)
    return fold(out)


class Unknown:
    """Compares unknown words, alone and with the next, with names of leaf, places and sizes.

    Flavours are left out: their names are too many and too short, and every odd word sounds like one of them.
    """

    def __init__(self, lexicon: Lexicon) -> None:
        self._english = known_words()
        trade = lexicon.tables.get("trade", {})
        sizes = list(strings(trade.get("vitola", {})))
        leaf = [*strings(trade.get("leaf", {}).get("seeds", [])), *strings(trade.get("leaf", {}).get("primings", [])),
                *strings(trade.get("leaf", {}).get("colours", [])), *places(lexicon)]
        rare = [n for n in (*leaf, *sizes) if self._rare(n)]
        self._targets = sorted({form: n for n in rare for form in (as_said(n), fold(n))}.items())
        known = [*leaf, *sizes, *lexicon.forms, *strings(trade.get("parts", {}))]
        self._trade_words = frozenset(w for t in known for w in fold(t).split())
        self._near = frozenset(w for n in leaf for w in fold(n).split() if len(w) > 3) | _NEAR

    def _rare(self, name: str) -> bool:
        words = fold(name).split()
        return 0 < len(words) <= 3 and len("".join(words)) >= 5 and any(w not in self._english for w in words)

    def _is_unknown(self, word: str) -> bool:
        stems = {word, word.rstrip("s"), word.removesuffix("ed"), word.removesuffix("ing"), word.removesuffix("es"),
                 word.removesuffix("d"), word.removesuffix("ly"), word.removesuffix("y"), word.removesuffix("er"),
                 word.removesuffix("ing") + "e", word.removesuffix("ies") + "y", word.removesuffix("ier") + "y"}
        return len(word) >= 4 and word.isalpha() and not stems & self._english and not stems & self._trade_words

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each unknown word that sounds like one name of the trade and stands near another."""
        for first, word in enumerate(words):
            if odds[first] > LEAST_SURE or not self._is_unknown(word):
                continue
            around = (*words[max(0, first - CLOSE) : first], *words[first + 1 : first + 1 + CLOSE])
            near = sorted(self._near.intersection(around))
            if not near:
                continue
            ends = [first + 1] if first in stops or first + 1 >= len(words) else [first + 1, first + 2]
            found = [p for p in (self._best(words, first, last) for last in ends) if p is not None]
            if found:
                best = max(found, key=lambda p: p.confidence)
                reason = f"no English word; sounds like “{best.right}”, beside {', '.join(near[:3])}"
                yield Proposal(best.first, best.last, best.right, best.confidence, reason)

    def _best(self, words: Sequence[str], first: int, last: int) -> Proposal | None:
        heard = " ".join(words[first:last])
        ranked = sorted(((likeness(heard, target), target, name) for target, name in self._targets), reverse=True)
        best, target, name = ranked[0]
        second, other = next(((like, t) for like, t, n in ranked if n != name), (0.0, " "))
        same = target.split()[:1] == other.split()[:1]
        if best < LEAST or (best - second < MARGIN and not same):
            return None
        return Proposal(first, last, name, best, "")
