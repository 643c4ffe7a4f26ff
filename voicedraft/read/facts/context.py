"""What every fact rule looks at: sentences with their tokens, quantities, section, and which words are of another cigar."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.facts.leaves import leaf_names
from voicedraft.read.numbers import Currencies, Quantities, Token, read_quantities
from voicedraft.read.numbers.phrases import Hit, Phrases, flags
from voicedraft.read.numbers.tokens import fold, tokenise
from voicedraft.types import Passage


OPENING = 25
"""Sentences in which a speaker says that the tasting is blind."""


class Words:
    """The phrase lists of lexicon/facts.toml and lexicon/trade.toml, compiled once a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.trade = lexicon.table("trade")
        self._facts = lexicon.table("facts")
        self.currencies = Currencies(self.trade)
        self.leaves = leaf_names(self.trade)
        self.places = Phrases({
            fold(word): (code, loose)
            for code, entry in self._facts["speaker"].items() for loose, words in ((False, entry["places"]), (True, entry["words"]))
            for word in words
        })
        self.never_names = frozenset(fold(w) for w in self._facts["name"]["never"])
        self._compiled: dict[str, Phrases[str]] = {}
        self.vitolas = Phrases({
            fold(alias): name
            for name, entry in self.trade.get("vitola", {}).items()
            for alias in (name, *(a for a in entry.get("aliases", ()) if len(a) > 2))
        })

    def __getitem__(self, path: str) -> Phrases[str]:
        """The list at `path` of facts.toml, "price.single" for instance."""
        if path not in self._compiled:
            table: Any = self._facts
            for part in path.split("."):
                table = table[part]
            self._compiled[path] = flags(table)
        return self._compiled[path]


@dataclass(frozen=True)
class Line:
    """One sentence. `other[i]` says that token `i` is of another cigar than the one in hand."""

    index: int
    text: str
    quantities: Quantities
    section: str
    stage: str | None
    passage: str
    other: tuple[bool, ...]
    words: Words
    proper: tuple[bool, ...]
    """Whether spaCy takes the token for a proper noun."""

    @property
    def tokens(self) -> tuple[Token, ...]:
        return self.quantities.tokens

    def has(self, path: str, first: int = 0, last: int | None = None) -> bool:
        """Whether a phrase of list `path` lies within tokens `[first, last)`."""
        return self.words[path].any(self.tokens, first, last)

    def find(self, path: str, first: int = 0, last: int | None = None) -> list[Hit[str]]:
        return self.words[path].find(self.tokens, first, last)

    def span(self, first: int, last: int) -> tuple[int, int]:
        """Transcript words of tokens `[first, last)`, half-open."""
        return self.tokens[first].word, self.tokens[last - 1].word + 1

    def said(self, first: int, last: int) -> str:
        """The text of tokens `[first, last)` as printed."""
        return self.text[self.tokens[first].start : self.tokens[last - 1].end]

    def clause(self, i: int) -> tuple[int, int]:
        """Token range of the clause around token `i`: between commas, stops and dashes."""
        first = i
        while first > 0 and not self.tokens[first].breaks:
            first -= 1
        last = i + 1
        while last < len(self.tokens) and not self.tokens[last].breaks:
            last += 1
        return first, last

    def denied(self, i: int, reach: int = 3) -> bool:
        """Whether what starts at token `i` is denied by a word just before it, in the same clause."""
        first, _ = self.clause(i)
        return self.has("denied", max(first, i - reach), i)

    def corrected(self, first: int, last: int) -> bool:
        """Whether the speaker takes something back within tokens `[first, last)`."""
        return self.has("correction", first, last)


@dataclass(frozen=True)
class Session:
    """The whole session as fact rules see it. `lines` are in order of speech."""

    lines: tuple[Line, ...]
    words: Words
    blind: bool
    revealed: int
    """Number of the first line after the truth was read out; lines before it only guess. 0 where nobody guesses."""
    vitola: str | None = None

    def guessing(self, line: Line) -> bool:
        return self.blind and line.index < self.revealed


@lru_cache(maxsize=4)
def _words(key: int, holder: _Held) -> Words:
    return Words(holder.lexicon)


@dataclass(frozen=True, eq=False)
class _Held:
    """Keeps a lexicon hashable by identity for the cache."""

    lexicon: Lexicon


_held: dict[int, _Held] = {}


def compiled(lexicon: Lexicon) -> Words:
    """The compiled lists of a lexicon, kept while it is in use."""
    held = _held.get(id(lexicon))
    if held is None or held.lexicon is not lexicon:
        _held.clear()
        held = _held[id(lexicon)] = _Held(lexicon)
    return _words(id(lexicon), held)


def session(analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon) -> Session:
    """Builds the session. Sentences outside every passage count as aside."""
    words = compiled(lexicon)
    find = _passage_finder(passages)
    lines: list[Line] = []
    for sentence, doc in zip(analysis.sentences, analysis.docs, strict=True):
        tokens = tokenise(sentence)
        passage = find(sentence.first)
        lines.append(Line(
            index=len(lines), text=sentence.text, quantities=read_quantities(tokens, words.currencies),
            section=passage.section if passage else "aside", stage=passage.stage if passage else None,
            passage=passage.id if passage else "", other=(False,) * len(tokens), words=words,
            proper=_proper(tokens, doc),
        ))
    return _with_blindness(tuple(lines), words)


def _proper(tokens: Sequence[Token], doc: Any) -> tuple[bool, ...]:
    at = {t.idx: t.pos_ == "PROPN" for t in doc}
    return tuple(at.get(t.start, False) for t in tokens)


def _passage_finder(passages: Iterable[Passage]) -> Callable[[int], Passage | None]:
    ordered = sorted(passages, key=lambda p: p.first)

    def find(word: int) -> Passage | None:
        return next((p for p in ordered if p.first <= word < p.last), None)

    return find


def _with_blindness(lines: tuple[Line, ...], words: Words) -> Session:
    blind = any(line.has("blind.announced") for line in lines[:OPENING])
    revealed = 0
    if blind:
        announced = next(line.index for line in lines if line.has("blind.announced"))
        later = [x.index for x in lines if x.index > announced and x.has("blind.revealed") and x.section == "background"]
        revealed = next((i for i in later if _names_leaf_after(lines, i)), len(lines))
    return Session(lines, words, blind, revealed)


def _names_leaf_after(lines: Sequence[Line], i: int) -> bool:
    """A reveal is followed by the leaf or the maker within a few sentences."""
    return any(
        line.has(path) for line in lines[i : i + 6] for path in ("leaf.wrapper", "leaf.binder", "leaf.filler")
    )
