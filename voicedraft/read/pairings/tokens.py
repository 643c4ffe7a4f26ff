"""Tokens of one sentence as the pairing reader sees them: grammar, clause, vectors, marks of the two lists."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from voicedraft.lexicon import Lexicon
from voicedraft.read.sentences import Sentence
from voicedraft.read.vectors import Encoded

_CLITIC = re.compile(r"(?<=\w)['’](?:d|ll|ve|re)$")
"""A verb that the tokeniser leaves on a noun: "a flat white'd do"."""
Floats = npt.NDArray[np.float32]
Phrase = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Token:
    """One spaCy token. `clause` counts the stretches between punctuation; `word` is an index into the transcript."""

    text: str
    lower: str
    lemma: str
    tag: str
    pos: str
    dep: str
    head: int
    clause: int
    word: int
    mark: str
    """ "" or kind and place in a listed name: "drink/B", "food/I"."""


@dataclass(frozen=True)
class Row:
    """A sentence: its tokens, their vectors (n, 384), and the vector of the whole (384,)."""

    tokens: tuple[Token, ...]
    vectors: Floats
    whole: Floats


@dataclass(frozen=True)
class Names:
    """Drinks and foods of the lexicon by their lemmas, and the words that say well or ill of a pairing."""

    forms: Mapping[Phrase, str]
    longest: int
    others: frozenset[Phrase]
    """Ways of speaking of another cigar."""
    good: frozenset[Phrase]
    bad: frozenset[Phrase]
    groups: Mapping[Phrase, str]
    """The list that holds a name: cheese, beer."""
    sizes: frozenset[str]
    """Names of sizes of cigar: what is called so is smoked, not drunk or eaten."""

    @classmethod
    def of(cls, lexicon: Lexicon, leaving: Collection[str] = ()) -> Names:
        """From lexicon/pairings.toml, without the lists called `leaving`. Raises LexiconError where it is missing."""
        table = lexicon.table("pairings")
        forms: dict[Phrase, str] = {}
        groups: dict[Phrase, str] = {}
        for kind in ("food", "drink"):
            for group, names in table[kind].items():
                groups |= {_cut(name): group for name in names}
                if group not in leaving:
                    forms |= {_cut(name): kind for name in names}
        good, bad = (frozenset(map(_cut, table["cues"][side])) for side in ("good", "bad"))
        status = lexicon.table("status").get("other_cigar", {})
        others = frozenset(_cut(p) for side in ("either", "near") for p in status.get(side, ()))
        sizes = frozenset(name for name in lexicon.table("trade").get("vitola", {}) if " " not in name)
        return cls(forms, max(map(len, forms)), others, good, bad, groups, sizes)

    def group(self, tokens: Sequence[Token]) -> str:
        """The list that holds the tokens' name, or its end; nothing where none does."""
        for i in range(len(tokens)):
            form = tuple(t.lower for t in tokens[i:])
            held = self.groups.get(form) or self.groups.get((*form[:-1], tokens[-1].lemma))
            if held:
                return held
        return ""

    def without(self, words: Iterable[str]) -> Names:
        """The same without every name that shares one of the words: to measure on names no list holds."""
        gone = set(words)
        kept = {form: kind for form, kind in self.forms.items() if not gone.intersection(form)}
        return replace(self, forms=kept)


def _cut(name: str) -> Phrase:
    return tuple(name.lower().replace("'", " '").replace("-", " - ").split())


def row(sentence: Sentence, doc: Any, encoded: Encoded, names: Names) -> Row:
    """The tokens of one sentence, marked."""
    lowers = [_CLITIC.sub("", t.lower_) for t in doc]
    lemmas = [_CLITIC.sub("", t.lemma_.lower()) for t in doc]
    marks = _marks(lowers, lemmas, [t.pos_ in ("NOUN", "PROPN") for t in doc], names)
    _mark_measured(marks, doc)
    clause, tokens = 0, []
    for i, token in enumerate(doc):
        clause += token.is_punct and token.text not in "-'’\""
        tokens.append(Token(
            text=token.text, lower=token.lower_, lemma=token.lemma_.lower(), tag=token.tag_, pos=token.pos_,
            dep=token.dep_, head=token.head.i, clause=clause, mark=marks[i],
            word=sentence.first + bisect_right(sentence.offsets, token.idx) - 1,
        ))
    return Row(tuple(tokens), encoded.pooled([(t.idx, t.idx + len(t.text)) for t in doc]), encoded.sentence)


def _marks(lowers: list[str], lemmas: list[str], nouns: list[bool], names: Names) -> list[str]:
    """The longest listed name at each place, in any number ("almond cookies")."""
    out = [""] * len(lowers)
    i = 0
    while i < len(lowers):
        for size in range(min(names.longest, len(lowers) - i), 0, -1):
            kind = _listed(lowers, lemmas, nouns, names, i, size)
            if kind and not ("and" in lowers[i : i + size] and _opens_food(lowers, lemmas, nouns, names, i + size - 1)):
                out[i : i + size] = [f"{kind}/B"] + [f"{kind}/I"] * (size - 1)
                i += size - 1
                break
        i += 1
    return out


def _listed(lowers: list[str], lemmas: list[str], nouns: list[bool], names: Names, i: int, size: int) -> str:
    """The kind of the name that the `size` words from `i` are, in any number; nothing where no list holds them."""
    form = tuple(lowers[i : i + size])
    last = (*form[:-1], lemmas[i + size - 1])
    return names.forms.get(form) or (names.forms.get(last, "") if nouns[i + size - 1] else "")


def _opens_food(lowers: list[str], lemmas: list[str], nouns: list[bool], names: Names, i: int) -> bool:
    """Whether the word at `i` opens the name of a food: "(whisky and) ginger biscuits", "(a gin and) lime pie"."""
    sizes = range(2, min(names.longest, len(lowers) - i) + 1)
    longer = any(_listed(lowers, lemmas, nouns, names, i, size) == "food" for size in sizes)
    return longer or (i + 1 < len(lowers) and _listed(lowers, lemmas, nouns, names, i + 1, 1) == "food")


_POURED = frozenset({
    "pint", "glass", "cup", "mug", "dram", "tot", "tumbler", "flask", "pot", "jug", "snifter", "thimble",
})
_SERVED = frozenset({
    "slice", "plate", "bowl", "wedge", "slab", "hunk", "chunk", "plateful", "helping", "sliver", "rasher",
})
_UNNAMED = frozenset({"stuff", "thing", "one", "kind", "sort", "same", "something", "anything", "other", "rest"})
_BEFORE = frozenset({"DET", "ADJ", "NUM", "PRON"})


def _mark_measured(marks: list[str], doc: Any) -> None:
    """"A pint of mild", "a wedge of Bachtaler": what is poured or cut so is a drink or a food, whatever its name."""
    for i, token in enumerate(doc):
        kind = "drink" if token.lemma_ in _POURED else "food" if token.lemma_ in _SERVED else ""
        if not kind or i + 2 >= len(doc) or doc[i + 1].lower_ != "of":
            continue
        j = i + 2
        while j + 1 < len(doc) and doc[j].pos_ in _BEFORE and doc[j].dep_ != "pobj":
            j += 1
        named = doc[j].pos_ in ("NOUN", "PROPN", "ADJ") and doc[j].lemma_ not in _UNNAMED
        if named and not marks[j] and doc[j].dep_ in ("pobj", "compound"):
            marks[j] = f"{kind}/B"
