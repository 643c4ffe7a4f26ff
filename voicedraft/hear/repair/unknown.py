"""Words that no English reader knows and that sound like a word of the trade: "haloppa" for Jalapa."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from tokenizers import Tokenizer

from voicedraft.hear.repair.context import CLOSE, Frames, Place, places, strings
from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold, likeness
from voicedraft.hear.sounds import Sounds
from voicedraft.lexicon import Lexicon
from voicedraft.models import model_path
from voicedraft.nouns import eaten, things

LEAST, MARGIN = 0.8, 0.04
"""Likeness from which an unknown word is taken for a word of the trade, and its lead over the next best."""
LEAST_FLAVOUR, LEAST_LETTERS = 0.9, 6
"""The same for a flavour, and how long it must be: there are two thousand of them."""
LEAST_SURE, ALIKE, LONG = 0.75, 0.92, 7
"""A word that the recogniser is surer of than this stays, unknown or not, unless it is as much alike as this and, where
it would be a flavour, one stands close by. One that has as many letters as LONG besides needs no other name near it:
"bellicoso", "champoirado"."""
LEAST_BOTH, LEAST_SAID, RANKED = 0.93, 0.85, 20
"""Likeness, the mean of spelling's and sound's, from which an unsure word is a flavour wherever it stands ("Paulvoron,
I gave it three puffs"), the same for one that the session names elsewhere ("Redfruit finish"), and how many
flavours are compared by sound. Our own choice, on misses of synthesised sessions and on annotated ones."""
_NEAR = frozenset(("wrapper", "binder", "filler", "leaf", "tobacco", "seed", "vitola", "ring", "gauge", "inches"))


@lru_cache(maxsize=1)
def _known(folder: Path) -> frozenset[str]:
    vocabulary = Tokenizer.from_file(str(folder / "tokenizer.json")).get_vocab()
    return frozenset(word for word in vocabulary if word.isalpha())


def known_words() -> frozenset[str]:
    """Whole words in the vocabulary of the sentence model: some 22,000 that are common in English print."""
    return _known(model_path("all-MiniLM-L6-v2-int8"))


@lru_cache(maxsize=1)
def english_words() -> frozenset[str]:
    """`known_words`, and the nouns that a dictionary knows besides."""
    return known_words() | things() | eaten()


def as_said(name: str) -> str:
    """A Spanish name in English letters as it sounds: "jalapa" is heard as "halapa"; j, ll, ñ, z, qu (from memory)."""
    sounds = (("ñ", "ny"), ("ll", "y"), ("j", "h"), ("z", "s"), ("qu", "k"), ("ch", "tch"))
    out = name.lower()
    for letters, sound in sounds:
        out = out.replace(letters, sound)
    return fold(out)


@dataclass(frozen=True, slots=True)
class _Target:
    """A word of the trade as it may be spelt by its sound. Flavours need a place where a flavour stands."""

    form: str
    name: str
    flavour: bool
    rare: bool
    """No English word itself: Jalapa, not black."""


class Unknown:
    """Compares unknown words, alone and with the next, with names of leaf, places and sizes, and with flavours.

    said: the words heard in the whole session, folded.
    """

    def __init__(self, lexicon: Lexicon, said: frozenset[str] = frozenset()) -> None:
        self._common, self._english, self._said = known_words(), english_words(), said
        self._sounds = Sounds(lexicon.tables.get("sounds", {}))
        self.frames = Frames(lexicon)
        trade = lexicon.tables.get("trade", {})
        sizes = [w for table in (trade.get("vitola", {}), trade.get("shape", {})) for w in (*table, *strings(table))]
        leaf = [*strings(trade.get("leaf", {}).get("seeds", [])), *strings(trade.get("leaf", {}).get("primings", [])),
                *strings(trade.get("leaf", {}).get("colours", [])), *places(lexicon)]
        flavours = [f for f, entry in lexicon.forms.items() if not entry.term.ambiguous and len(f.split()) == 1]
        names = {n: False for n in (*leaf, *sizes)} | {f: True for f in flavours if f not in {*leaf, *sizes}}
        self._forms, self._flavours = lexicon.forms, frozenset(map(fold, flavours))
        forms = {form: _Target(form, n, flavour, self._rare(n)) for n, flavour in names.items() if self._long(n)
                 for form in (as_said(n), fold(n))}
        self._targets = [forms[form] for form in sorted(forms)]
        known = [*leaf, *sizes, *lexicon.forms, *strings(trade.get("parts", {})),
                 *strings(lexicon.tables.get("pairings", {}))]
        self._trade_words = frozenset(w for t in known for w in fold(t).split())
        self._near = frozenset(w for n in leaf for w in fold(n).split() if len(w) > 3) | _NEAR

    def _rare(self, name: str) -> bool:
        return any(w not in self._common for w in fold(name).split())

    def _long(self, name: str) -> bool:
        words = fold(name).split()
        return 0 < len(words) <= 3 and len("".join(words)) >= 5

    def is_unknown(self, word: str) -> bool:
        """Whether no English reader, no dictionary and no trade knows the folded word."""
        stems = {word, word.rstrip("s"), word.removesuffix("ed"), word.removesuffix("ing"), word.removesuffix("es"),
                 word.removesuffix("d"), word.removesuffix("ly"), word.removesuffix("y"), word.removesuffix("er"),
                 word.removesuffix("ing") + "e", word.removesuffix("ies") + "y", word.removesuffix("ier") + "y",
                 word.removesuffix("ky"), word.removesuffix("ey"), re.sub(r"ly$", "le", word),
                 re.sub(r"(.)\1y$", r"\1", word)}  # Garlicky, vanillaey, treacly, peanutty.
        return len(word) >= 4 and word.isalpha() and not stems & self._english and not stems & self._trade_words

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each unknown word that sounds like one name of the trade and stands near another, or like one
        flavour and stands where flavours do."""
        for first, said in enumerate(words):
            word = said.removesuffix("'s")
            if not self.is_unknown(word):
                continue
            around = (*words[max(0, first - CLOSE) : first], *words[first + 1 : first + 1 + CLOSE])
            near = sorted(self._near.intersection(around))
            fits = self.frames.fits(Place(words, stops, first, first + 1), "flavours")
            unsure = odds[first] <= LEAST_SURE and len(word) >= LEAST_LETTERS
            tasted = fits or not self.frames.flavours.isdisjoint(around)
            if not near and not fits and len(word) < LEAST_LETTERS:
                continue
            ends = [first + 1] if first in stops or first + 1 >= len(words) else [first + 1, first + 2]
            fits = fits and unsure
            found = [p for p in (self._best(words, first, last, bool(near), fits) for last in ends)
                     if p is not None and (odds[first] <= LEAST_SURE or (p.confidence >= ALIKE and (
                         tasted or fold(p.right).removesuffix("'s") not in self._flavours)))]
            best = max(found, key=lambda p: p.confidence, default=None)
            if best is not None:
                beside = f", beside {', '.join(near[:3])}" if near else ", where a flavour stands" if fits else ""
                reason = f"no English word; sounds like “{best.right}”{beside}"
                yield Proposal(best.first, best.last, best.right, best.confidence, reason)
            elif unsure and (flavour := self._flavour(word)) is not None:
                right, like = flavour[0] + said[len(word) :], flavour[1]
                yield Proposal(first, first + 1, right, like, f"no English word; sounds and looks like “{right}”")

    def _flavour(self, word: str) -> tuple[str, float] | None:
        """The one flavour that the word sounds and looks like, and how much."""
        ranked = sorted(((likeness(word, t.form), t.form, t.name) for t in self._targets if t.flavour), reverse=True)
        both = sorted((self.alike(word, form), name) for _, form, name in ranked[:RANKED])
        best, name = both[-1]
        term = self._term(name)
        second = next((like for like, n in reversed(both) if self._term(n) != term), 0.0)
        again = not self._said.isdisjoint((fold(name), fold(term)))
        least = LEAST_SAID if again else LEAST_BOTH
        return (name, best) if best >= least and best - second >= MARGIN else None

    def alike(self, heard: str, form: str) -> float:
        """0 to 1: the mean of how alike they look and how alike they sound; both folded, one word each."""
        return (likeness(heard, form) + self._sounds.likeness(heard, form)) / 2

    def _term(self, name: str) -> str:
        return self._forms[name].term.term

    def _best(self, words: Sequence[str], first: int, last: int, near: bool, fits: bool) -> Proposal | None:
        heard, owns = " ".join(words[first:last]), "'s" if words[last - 1].endswith("'s") else ""
        heard = heard.removesuffix("'s")
        ranked = sorted(((likeness(heard, t.form), t) for t in self._targets), key=lambda r: (r[0], r[1].form),
                        reverse=True)
        best, target = ranked[0]
        second, other = next(((like, t.form) for like, t in ranked if t.name.rstrip("s") != target.name.rstrip("s")),
                             (0.0, " "))
        same = target.form.split()[:1] == other.split()[:1]
        least = LEAST_FLAVOUR if target.flavour else LEAST if target.rare else ALIKE
        if not (fits if target.flavour else near):
            least = max(least, ALIKE) if len(heard) >= LONG and last == first + 1 else 2.0
        if best < least or (target.flavour and last > first + 1) or (best - second < MARGIN and not same):
            return None
        return Proposal(first, last, target.name + owns, best, "")
