"""One sentence as scoring sees it: its tokens and numbers, their part of speech, and the section of each word."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.numbers.fraction import numbers
from voicedraft.read.numbers.tokens import Token, tokenise, tokenise_text
from voicedraft.types import Passage

Phrase = tuple[str, ...]
TASTED = frozenset({"prelight", "first_third", "second_third", "final_third"})
"""Sections in which flavours are told."""
_CLAUSE_WORDS = frozenset({"and", "but", "though", "although", "whereas", "while", "so", "because", "cause"})


@dataclass(frozen=True)
class Phrases:
    """Forms of the lexicon cut as tokens are, by first word, the longest first."""

    forms: frozenset[Phrase]
    by_first: Mapping[str, tuple[Phrase, ...]]

    @classmethod
    def of(cls, forms: Iterable[str]) -> Phrases:
        """Cut the forms of a word list."""
        return cls.cut(frozenset(tuple(t.text for t in tokenise_text(form)) for form in forms))

    @classmethod
    def cut(cls, forms: frozenset[Phrase]) -> Phrases:
        """From forms that are cut already."""
        heads: dict[str, list[Phrase]] = {}
        for form in sorted(forms, key=lambda f: (-len(f), f)):
            heads.setdefault(form[0], []).append(form)
        return cls(forms, {word: tuple(held) for word, held in heads.items()})

    def __contains__(self, form: object) -> bool:
        return form in self.forms

    def __or__(self, other: Phrases) -> Phrases:
        return Phrases.cut(self.forms | other.forms)


@dataclass(frozen=True)
class Words:
    """The word lists of lexicon/scores.toml."""

    aspects: Phrases
    means: dict[str, str]
    overall: Phrases
    named: Phrases
    """Aspects and what stands for the whole."""
    nouns: frozenset[str]
    verdict_nouns: frozenset[str]
    units: frozenset[str]
    give: frozenset[str]
    give_near: frozenset[str]
    scoring: frozenset[str]
    give_after: Phrases
    earlier: Phrases
    halfway: Phrases
    """Turns that put even a value on its scale aside."""
    never: Phrases
    correction: Phrases
    speakers: frozenset[str]
    verbs: frozenset[str]
    cigars: Phrases
    this: Phrases
    asking: frozenset[str]
    fewer: Phrases
    """Turns that tell a mark by another one, lower, higher and level."""
    further: Phrases
    level: Phrases
    part_of: Phrases
    """What stands between "half" or "twice" and the name of the other mark."""
    less: frozenset[str]
    """Comparatives that end their clause: "five fewer", "a point better"."""
    more: frozenset[str]
    placing: frozenset[str]
    """Verbs that place a mark beside another: "I'd have it level with the burn"."""
    amend: Phrases
    """Turns that change a mark given before: to a value, up, and down."""
    raised: Phrases
    lowered: Phrases
    topping: frozenset[str]
    """Verbs that move a mark by an amount: always up, up with "on", always down, down with "off"."""
    adding: frozenset[str]
    docking: frozenset[str]
    taking: frozenset[str]
    changing: frozenset[str]
    """Verbs that lead to a new value by "to"."""
    regrets: Phrases
    """What is said of a mark that is taken back, and the turns that give another."""
    calling: Phrases
    reopening: Phrases
    """Turns that take up an aspect again, and verbs by which its mark becomes or ought to be another."""
    becoming: Phrases
    owing: Phrases
    joking: Phrases
    """What marks a jest, what others told, and heads of a sentence that name no other circumstance."""
    told_by: Phrases
    summing_up: Phrases
    vitolas: frozenset[str]

    @classmethod
    def of(cls, lexicon: Lexicon) -> Words:
        """Read from the lexicon. Raises LexiconError where scores.toml is missing."""
        t = lexicon.table("scores")
        means = dict(t["aspects"]["means"])
        shapes = lexicon.table("trade").get("vitola", {})
        vitolas = {w for name in shapes for w in name.lower().split() if len(w) > 3}
        aspects, overall = Phrases.of([*t["aspects"]["said"], *means]), Phrases.of(t["overall"]["forms"])
        return cls(
            aspects=aspects, means=means, overall=overall, named=aspects | overall,
            nouns=frozenset(t["nouns"]["words"]),
            verdict_nouns=frozenset(t["nouns"]["verdict"] + t["nouns"]["words"]), units=frozenset(t["nouns"]["units"]),
            give=frozenset(t["give"]["words"]), give_near=frozenset(t["give"]["near"]),
            scoring=frozenset(t["give"]["scoring"]), give_after=Phrases.of(t["give"]["after"]),
            earlier=Phrases.of(t["earlier"]["phrases"]),
            halfway=Phrases.of(t["earlier"]["halfway"]),
            never=Phrases.of(t["earlier"]["never"]),
            correction=Phrases.of(t["correction"]["phrases"]), speakers=frozenset(t["others"]["speakers"]),
            verbs=frozenset(t["others"]["verbs"]), cigars=Phrases.of(t["others"]["cigars"]),
            this=Phrases.of(t["others"]["this"]), asking=frozenset(t["asking"]["words"]),
            fewer=Phrases.of(t["relative"]["fewer"]), further=Phrases.of(t["relative"]["further"]),
            level=Phrases.of(t["relative"]["level"]), part_of=Phrases.of(t["relative"]["part_of"]),
            less=frozenset(t["relative"]["less"]), more=frozenset(t["relative"]["more"]),
            placing=frozenset(t["relative"]["placing"]),
            amend=Phrases.of(t["amended"]["to"]), raised=Phrases.of(t["amended"]["up"]),
            lowered=Phrases.of(t["amended"]["down"]), topping=frozenset(t["amended"]["topping"]),
            adding=frozenset(t["amended"]["adding"]), docking=frozenset(t["amended"]["docking"]),
            taking=frozenset(t["amended"]["taking"]), changing=frozenset(t["amended"]["changing"]),
            regrets=Phrases.of(t["amended"]["regrets"]), calling=Phrases.of(t["amended"]["calling"]),
            reopening=Phrases.of(t["amended"]["reopening"]), becoming=Phrases.of(t["amended"]["becoming"]),
            owing=Phrases.of(t["amended"]["owing"]),
            joking=Phrases.of(t["elsewhere"]["joking"]), told_by=Phrases.of(t["elsewhere"]["told_by"]),
            summing_up=Phrases.of(t["elsewhere"]["summing_up"]), vitolas=frozenset(vitolas),
        )


@dataclass(frozen=True)
class Line:
    """`pos[i]` is the part of speech of token i; `clause[i]` the running number of its clause in the sentence."""

    index: int
    tokens: tuple[Token, ...]
    numbers: tuple[Number, ...]
    pos: tuple[str, ...]
    tags: tuple[str, ...]
    clause: tuple[int, ...]
    passages: tuple[Passage | None, ...]
    texts: tuple[str, ...]
    """The tokens in lower case."""
    own: frozenset[str] = frozenset()
    """Names, in lower case, with which the speaker opened the session: the cigar in hand is among them."""

    verdict: bool = False
    """Whether the sentence gives a score whatever section it was taken for."""
    units: frozenset[str] = frozenset()
    """What the speaker's own scale is counted in: "bones", "candles"."""
    spans: dict[int, list[tuple[int, int]]] = field(default_factory=dict, compare=False, repr=False)
    """Where the forms of a word list stand, by the list's identity, filled as they are looked for."""

    @property
    def section(self) -> str:
        """Section of the middle word, "aside" where no passage holds it; "verdict" where it gives a score."""
        if self.verdict:
            return "verdict"
        passage = self.passages[len(self.passages) // 2] if self.passages else None
        return passage.section if passage else "aside"

    def text(self, i: int) -> str:
        """Token `i` in lower case, "" beyond the ends."""
        return self.texts[i] if 0 <= i < len(self.texts) else ""

    def joined(self, i: int) -> bool:
        """Whether token `i` exists and no comma or stop stands before it."""
        return 0 < i < len(self.tokens) and not self.tokens[i].breaks

    def noun(self, words: Words) -> bool:
        """Whether a noun of scoring is said; "number" and "points" count in a verdict only."""
        nouns = words.verdict_nouns if self.section == "verdict" else words.nouns
        return not nouns.isdisjoint(self.texts)

    def noun_in(self, words: frozenset[str]) -> bool:
        """Whether any of the words is said."""
        return not words.isdisjoint(self.texts)

    def find(self, forms: Phrases, first: int = 0, last: int | None = None) -> list[tuple[int, int]]:
        """Token ranges of the forms within `[first, last)`, longest first at each place, without overlap."""
        whole = self.spans.get(id(forms))
        if whole is None:
            whole = self.spans[id(forms)] = self._find(forms, 0, len(self.tokens))
        end = len(self.tokens) if last is None else min(last, len(self.tokens))
        if not whole or (first <= 0 and end == len(self.tokens)):
            return list(whole)
        if any(a < first < b or a < end < b for a, b in whole):
            return self._find(forms, first, end)
        return [s for s in whole if first <= s[0] and s[1] <= end]

    def _find(self, forms: Phrases, first: int, end: int) -> list[tuple[int, int]]:
        out: list[tuple[int, int]] = []
        free = first
        for i in [i for i in range(first, end) if self.texts[i] in forms.by_first]:
            for form in forms.by_first[self.texts[i]] if i >= free else ():
                size = len(form)
                if i + size <= end and self.texts[i : i + size] == form:
                    out.append((i, i + size))
                    free = i + size
                    break
        return out

    def clause_range(self, clause: int) -> tuple[int, int]:
        """First token of a clause and the one after its last."""
        first = bisect_left(self.clause, clause)
        return first, bisect_right(self.clause, clause, first)


def lines(analysis: Analysis, passages: Sequence[Passage]) -> list[Line]:
    """Every sentence, in order."""
    starts = [p.first for p in passages]
    out = []
    for sentence, doc in zip(analysis.sentences, analysis.docs, strict=True):
        tokens = tokenise(sentence)
        told = [*doc]
        begins = [t.idx for t in told]
        found = [told[max(bisect_right(begins, t.start) - 1, 0)] for t in tokens]
        held = []
        for token in tokens:
            k = bisect_right(starts, token.word) - 1
            held.append(passages[k] if k >= 0 and token.word < passages[k].last else None)
        out.append(Line(
            index=sentence.index, tokens=tokens, numbers=numbers(tokens), pos=tuple(t.pos_ for t in found),
            tags=tuple(t.tag_ for t in found), clause=_clauses(tokens), passages=tuple(held),
            texts=tuple(t.text for t in tokens),
        ))
    own = frozenset(
        token.text for line in out if line.section == "background"
        for token in line.tokens if token.printed[:1].isupper()
    )
    return _verdicts([replace(line, own=own) for line in out])


_MISTAKEN = frozenset({"value", "aside", "background"})
_MONEY = frozenset({
    "£", "$", "€", "₹", "¥", "dollars", "dollar", "pounds", "pound", "euro", "euros", "quid", "bucks", "paid", "pay",
    "cost", "costs", "price", "priced", "box", "percent", "cent", "off", "sticks",
})
_TALLIES = frozenset({
    "aggregate", "total", "sum", "average", "mark", "marks", "score", "number", "figure", "written", "wrote", "crossed",
    "overall", "final", "together", "altogether",
})
_GIVING = frozenset({"say", "give", "put", "make", "call", "write", "go", "it's", "score", "mark"})


def _verdicts(rows: list[Line]) -> list[Line]:
    """Sentences taken for another section that do give a score: "Out of twenty, sixteen." among prices."""
    smoked = [row.index for row in rows if row.section in ("first_third", "second_third", "final_third")]
    first = smoked[0] if smoked else len(rows)
    out: list[Line] = []
    for row in rows:
        place = row.section == "value" or (row.section in _MISTAKEN and row.index > first)
        fits = place and not row.noun_in(_MONEY)
        goes_on = bool(out) and out[-1].verdict and row.noun_in(_GIVING) and len(row.numbers) == 1
        listed = bool(out) and out[-1].section == "verdict" and bool(out[-1].numbers) and bool(row.numbers)
        listed = listed and row.section == "aside" and row.noun_in(_TALLIES)
        out.append(replace(row, verdict=True) if fits and (_scored(row) or goes_on or listed) else row)
    return out


def _scored(row: Line) -> bool:
    """A value with "out of", or "over" or "on", a scale of ten or more."""
    for number in row.numbers:
        lead = (row.text(number.first - 2), row.text(number.first - 1))
        if number.value in (5, 6, 10, 12, 15, 20, 30, 50, 100) and len(row.numbers) > 1:
            before = any(n.last >= number.first - 2 and n.last < number.first for n in row.numbers)
            strong = lead == ("out", "of") and (before or row.tokens[number.last - 1] is row.tokens[-1] or any(
                n.first == number.last and row.tokens[n.first].breaks for n in row.numbers
            ))
            weak = lead[1] in ("over", "on") and any(n.last == number.first - 1 for n in row.numbers)
            if strong or (weak and number.value >= 10):
                return True
    return False


def _clauses(tokens: Sequence[Token]) -> tuple[int, ...]:
    """A clause ends at a comma, stop or dash, and before a conjunction."""
    out, n = [], 0
    for i, token in enumerate(tokens):
        if i and (token.breaks or (token.text in _CLAUSE_WORDS and not _inside_number(tokens, i))):
            n += 1
        out.append(n)
    return tuple(out)


def _inside_number(tokens: Sequence[Token], i: int) -> bool:
    """The "and" of "four and a half"."""
    after = {t.text for t in tokens[i + 1 : i + 3]}
    return tokens[i].text == "and" and bool(after & {"half", "quarter", "quarters"})
