"""What every fact rule looks at: sentences with tokens, quantities, section, and which words are of another cigar."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from itertools import pairwise
from typing import Any

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.facts.leaves import leaf_names
from voicedraft.read.numbers import Currencies, Quantities, Token, read_quantities
from voicedraft.read.numbers.cardinal import cardinals
from voicedraft.read.numbers.phrases import Hit, Index, Phrases, flags
from voicedraft.read.numbers.tokens import fold, tokenise, tokenise_text
from voicedraft.read.scale import Scale
from voicedraft.read.sentences import Sentence
from voicedraft.read.vectors import Encoded
from voicedraft.types import Passage

OPENING = 25
"""Sentences in which a speaker says that the tasting is blind."""


class Words:
    """The phrase lists of lexicon/facts.toml and lexicon/trade.toml, compiled once a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.trade = lexicon.table("trade")
        self._facts = lexicon.table("facts")
        money = [*self.trade.get("currency", ()), *self._facts.get("currency", ())]
        self.currencies = Currencies({**self.trade, "currency": money})
        self.vitolas = Phrases(_vitolas(self.trade.get("vitola", {})))
        self.leaves = leaf_names(self.trade, self._facts["leaf"]["home"])
        self.scale = Scale(lexicon.table("strength"), frozenset(self._facts["strength"]["not_before"]))
        self.flavours = Phrases({f: 1 for f, form in lexicon.forms.items() if not form.term.ambiguous})
        self.places = Phrases({
            fold(word): (code, loose)
            for code, entry in self._facts["speaker"].items()
            for loose, words in ((False, entry["places"]), (True, entry["words"]))
            for word in words
        })
        self.name_labels = frozenset(fold(w) for w in self._facts["name"]["labels"])
        self.never_names = frozenset(fold(w) for w in self._facts["name"]["never"])
        self.other_adjectives = frozenset(self._facts["other_adjectives"])
        self._compiled: dict[str, Phrases[str]] = {}
        self._listed: dict[str, tuple[str, ...]] = {}
        self._indexed: dict[tuple[str, ...], Index] = {}

    def __getitem__(self, path: str) -> Phrases[str]:
        """The list at `path` of facts.toml, "price.single" for instance."""
        if path not in self._compiled:
            table: Any = self._facts
            for part in path.split("."):
                table = table[part]
            self._compiled[path] = flags(table)
        return self._compiled[path]

    def listed(self, path: str) -> tuple[str, ...]:
        """The words of the list at `path`, as they stand."""
        if path not in self._listed:
            table: Any = self._facts
            for part in path.split("."):
                table = table[part]
            self._listed[path] = tuple(table)
        return self._listed[path]


    def index(self, paths: tuple[str, ...]) -> Index:
        """The lists at `paths`, to be looked up at once."""
        if paths not in self._indexed:
            self._indexed[paths] = Index({path: self.listed(path) for path in paths})
        return self._indexed[paths]


@dataclass(frozen=True, slots=True)
class Vitola:
    """A size name as said, singular, and the lexicon's name for it."""

    said: str
    name: str


def _vitolas(table: Mapping[str, Any]) -> dict[str, Vitola]:
    """Size names and their other names; numbers ("sixty") and letters are left out."""
    out: dict[str, Vitola] = {}
    for name, entry in table.items():
        for alias in entry.get("aliases", ()):
            plural = fold(alias) in (fold(name) + "s", fold(name) + "es")
            if len(alias) > 2 and not cardinals(tokenise_text(alias)):
                out[fold(alias)] = Vitola(name if plural else alias, name)
        out[fold(name)] = Vitola(name, name)
    return out


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
    vocabulary: frozenset[str] = frozenset()
    """Every token's text."""
    doc: Any = field(default=None, compare=False, repr=False)
    """spaCy's grammar of the sentence; its characters are those of the tokens."""
    encoded: Encoded | None = field(default=None, compare=False, repr=False)
    """Vectors of the sentence and of its word pieces."""

    @property
    def tokens(self) -> tuple[Token, ...]:
        return self.quantities.tokens

    @cached_property
    def starts(self) -> tuple[int, ...]:
        """The character at which each of spaCy's words starts."""
        return () if self.doc is None else tuple(t.idx for t in self.doc)

    @property
    def asks(self) -> bool:
        """Whether the sentence is a question."""
        return self.text.rstrip().endswith("?")

    def has(self, path: str, first: int = 0, last: int | None = None) -> bool:
        """Whether a phrase of list `path` lies within tokens `[first, last)`."""
        phrases = self.words[path]
        return not phrases.firsts.isdisjoint(self.vocabulary) and phrases.any(self.tokens, first, last)

    def find(self, path: str, first: int = 0, last: int | None = None) -> list[Hit[str]]:
        phrases = self.words[path]
        return [] if phrases.firsts.isdisjoint(self.vocabulary) else phrases.find(self.tokens, first, last)

    def span(self, first: int, last: int) -> tuple[int, int]:
        """Transcript words of tokens `[first, last)`, half-open."""
        return self.tokens[first].word, self.tokens[last - 1].word + 1

    def said(self, first: int, last: int) -> str:
        """The text of tokens `[first, last)` as printed."""
        return self.text[self.tokens[first].start : self.tokens[last - 1].end]

    @cached_property
    def clauses(self) -> tuple[tuple[int, int], ...]:
        """The token range of its clause, of each token: between commas, stops and dashes."""
        starts = [0, *(i for i, t in enumerate(self.tokens) if i and t.breaks), len(self.tokens)]
        return tuple((a, b) for a, b in pairwise(starts) for _ in range(a, b))

    def clause(self, i: int) -> tuple[int, int]:
        """Token range of the clause around token `i`."""
        return self.clauses[i]

    def denied(self, i: int, reach: int = 3) -> bool:
        """Whether what starts at token `i` is denied by a word just before it, in the same clause."""
        first, _ = self.clause(i)
        buts = [k for k in range(max(first, i - reach), i) if self.tokens[k].text == "but"]
        return self.has("denied", max([first, i - reach, *buts]), i)

    def corrected(self, first: int, last: int, strict: bool = False) -> bool:
        """Whether the speaker takes something back within tokens `[first, last)`; `strict` lets a pause pass."""
        found = [h for h in self.find("correction", first, last) if not self._no_more(h)]
        if strict:
            pauses = {h.first for h in self.find("pause", first, last)}
            found = [h for h in found if h.first not in pauses]
        return bool(found) or self.replaced(first, last)

    def replaced(self, first: int, last: int) -> bool:
        """Within tokens `[first, last)` a "but" takes back what was said: "I said six, but it's eight", "not six but".
        """
        for i in range(first, last):
            if self.tokens[i].text != "but":
                continue
            low = max(0, i - _NOT_BUT)
            nots = [k for k in range(low, i) if self.tokens[k].text in ("not", "isn't", "wasn't")]
            numbers = [n.first for n in self.quantities.numbers if n.first < i and i - n.last <= 3]
            joined = not self.tokens[i].stops and bool(nots) and any(n > nots[-1] for n in numbers)
            if joined or i == self.turn:
                return True
        return False

    @property
    def turn(self) -> int | None:
        """The token "but" that takes back "I said X" before it; None after "as I said", "what I said about"."""
        for hit in self.find("said_before"):
            before = self.tokens[hit.first - 1].text if hit.first else ""
            after = self.tokens[hit.last].text if hit.last < len(self.tokens) else ""
            if before in _AS_SAID or after in ("about", "before", "of"):
                continue
            for i in range(hit.last, min(len(self.tokens), hit.last + _TURN)):
                if self.tokens[i].text == "but":
                    return i
        return None

    def _no_more(self, hit: Hit[str]) -> bool:
        """"no more than that", "no doubt" take nothing back."""
        follower = self.tokens[hit.last] if hit.last < len(self.tokens) else None
        return hit.value == "no" and follower is not None and not follower.breaks and follower.text in _NO_MORE


_AS_SAID = frozenset({"as", "like", "what", "which", "when", "that", "than"})
_TURN = 18
"""Tokens after "I said" within which "but" takes back what was said."""
_NOT_BUT = 6
"""Tokens before "but" within which "not" opens "not X but Y"."""
_NO_MORE = frozenset({
    "more", "higher", "less", "doubt", "question", "argument", "idea", "clue", "lower", "stronger", "further", "matter",
    "wonder", "problem", "complaints", "complaint", "harm", "surprise", "band", "name", "price", "box", "date",
    "different",
})


@dataclass(frozen=True)
class Session:
    """The whole session as fact rules see it. `lines` are in order of speech."""

    lines: tuple[Line, ...]
    words: Words
    blind: bool
    revealed: int
    """Number of the first line after the truth was read out; lines before it only guess. 0 where nobody guesses."""
    vitola: str | None = None
    heard: bool = False
    """Whether a speech model wrote the words: how they are spelt then tells nothing of the speaker."""

    @cached_property
    def opening(self) -> int:
        """Number of the first line of the smoke: what is said before it is told of the cigar before lighting."""
        thirds = (x.index for x in self.lines if x.section in ("first_third", "second_third", "final_third"))
        return next(thirds, 0)

    def guessing(self, line: Line) -> bool:
        """Whether the speaker can only guess at leaf and maker in this line."""
        return self.blind and line.index < self.revealed

    def hedging(self, line: Line) -> bool:
        """Whether the speaker guesses at what could be measured."""
        return self.guessing(line) and line.has("leaf.hedged")


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


_last: list[tuple[Analysis, Sequence[Passage], Lexicon, Session]] = []


def session(analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon) -> Session:
    """The session; the last one built is kept, since facts and strength are read one after the other."""
    if _last and _last[0][0] is analysis and _last[0][1] is passages and _last[0][2] is lexicon:
        return _last[0][3]
    built = _build(analysis, passages, lexicon)
    _last[:] = [(analysis, passages, lexicon, built)]
    return built


def _build(analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon) -> Session:
    """Builds the session. `passages` are sorted; words outside every passage count as aside."""
    words = compiled(lexicon)
    lines: list[Line] = []
    for sentence, doc, encoded in zip(analysis.sentences, analysis.docs, analysis.encoded, strict=True):
        tokens, proper = tokenise(sentence), _proper(sentence, doc)
        for part, passage in _by_passage(tokens, passages):
            lines.append(Line(
                index=len(lines), text=sentence.text, quantities=read_quantities(part, words.currencies),
                section=passage.section if passage else "aside", stage=passage.stage if passage else None,
                passage=passage.id if passage else "", other=(False,) * len(part), words=words,
                proper=tuple(t.start in proper for t in part), vocabulary=frozenset(t.text for t in part),
                doc=doc, encoded=encoded,
            ))
    return replace(_with_blindness(tuple(lines), words), heard=bool(analysis.transcript.model))


def _by_passage(
    tokens: tuple[Token, ...], passages: Sequence[Passage]
) -> list[tuple[tuple[Token, ...], Passage | None]]:
    """A sentence's tokens, cut where a passage ends inside it."""
    out: list[tuple[list[Token], Passage | None]] = []
    for token in tokens:
        at = bisect_right(passages, token.word, key=lambda p: p.first) - 1
        passage = passages[at] if at >= 0 and token.word < passages[at].last else None
        if out and out[-1][1] is passage:
            out[-1][0].append(token)
        else:
            out.append(([token], passage))
    return [(tuple(part), passage) for part, passage in out]


def _proper(sentence: Sentence, doc: Any) -> frozenset[int]:
    """Characters at which spaCy's proper nouns start."""
    return frozenset(t.idx for t in doc if t.pos_ == "PROPN")


def _with_blindness(lines: tuple[Line, ...], words: Words) -> Session:
    blind = any(line.has("blind.announced") for line in lines[:OPENING])
    revealed = 0
    if blind:
        announced = next(line.index for line in lines if line.has("blind.announced"))
        told = [x for x in lines[announced + 1 :] if x.section == "background"]
        later = [x.index for x in told if x.has("blind.revealed")]
        revealed = next((i for i in later if _names_leaf_after(lines, i)), len(lines))
    return Session(lines, words, blind, revealed)


def _names_leaf_after(lines: Sequence[Line], i: int) -> bool:
    """A reveal is followed by the leaf or the maker within a few sentences."""
    return any(
        line.has(path) for line in lines[i : i + 6] for path in ("leaf.wrapper", "leaf.binder", "leaf.filler")
    )
