"""Rule: a mark called by its aspect, and what it has become: "the burn is now a four", "the draw ends up at seven",
"I have reconsidered the burn, and that is now a four"; with a turn of correction also "no, the flavour should be nine".

Of cigars of a kind or at a price "should be" only wishes: "at that price the burn should be an eight".
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.comparison import counts_things
from voicedraft.read.scores.elsewhere import elsewhere
from voicedraft.read.scores.line import Line, Phrases, Words
from voicedraft.read.scores.steps import Change
from voicedraft.read.scores.topic import REASONS, reopened

_SMALL = frozenset({
    "a", "an", "the", "straight", "even", "at", "on", "as", "being", "with", "to", "only", "just", "more", "like",
    "than", "rather", "really",
})
_ADVERBS = frozenset({"now", "then", "really", "actually", "just", "probably", "therefore", "also", "too", "only"})
_IT = frozenset({"it", "that", "this", "which", "it's", "that's", "mark", "score", "one"})
_AFTER = frozenset({"now", "then", "instead", "after", "for", "out", "and", "not", "rather", "because", "in", "from"})
_LATER = frozenset({
    "once", "when", "until", "till", "if", "unless", "eventually", "someday", "soon", "maybe", "perhaps", "almost",
    "nearly", "before", "after", "while", "whenever", "next",
})
"""With these before it, the mark is one of another time or is not given at all."""
_PAST = frozenset({"before", "earlier", "wrong", "hasty", "too"})


def becomings(line: Line, words: Words) -> list[Change]:
    """Every mark of an aspect that the sentence says to have become another."""
    if line.section not in _OPINIONS and not line.noun(words):
        return []
    out = []
    for number in line.numbers:
        thing = counts_things(line, number.last, words) and line.text(number.last) not in _AFTER
        thing = thing or _bare_one(line, number)
        if number.ordinal or number.value < 1 or thing or not _ends(line, number.last, words):
            continue
        first = _subject(line, number, words)
        at_once = first is not None and (_LATER.isdisjoint(line.texts[:first]) or _done_before(line, first))
        if first is not None and at_once and not elsewhere(line, first, words) and not _back_then(line, number):
            out.append(Change(first, number.last, number.value, at=number.first))
    return out


def not_become(rows: Sequence[Line], words: Words) -> frozenset[tuple[int, int]]:
    """Sentence and first token of the numbers that a mark given before ought to be in cigars of a kind or at a
    price, or is in another time: "any cigar of this class, the burn should be a nine", "once rested, the draw becomes
    an eight". "The burn should be a six" alone is left to the learned odds."""
    out: set[tuple[int, int]] = set()
    for line in rows:
        for number in line.numbers if line.find(words.becoming) or line.find(_WISHES) else ():
            first = None if number.ordinal else _subject(line, number, words, wished=True)
            if first is None:
                continue
            wished = any(first <= a < number.first for a, _ in line.find(_WISHES)) and (
                not _KINDS.isdisjoint(line.texts) or bool(line.find(_AT_A_PRICE))
            ) and not _retracts(line, number, words)
            later = not _OPENERS.isdisjoint(line.texts[:first]) and not _done_before(line, first)
            if (wished and _marked_before(rows, line, first, words)) or later or elsewhere(line, first, words) or (
                _bare_one(line, number)
            ):
                out.add((line.index, number.first))
    return frozenset(out)


def _bare_one(line: Line, number: Number) -> bool:
    """"The draw comes down to one" gives none; "the draw comes down to a one" does."""
    return number.value == 1 and line.text(number.first - 1) not in ("a", "an")


def _done_before(line: Line, first: int) -> bool:
    """"Once I relit it the burn is now a six": what the mark waited for was done by the speaker."""
    return any(
        line.text(i) in ("once", "after", "when") and line.text(i + 1) in ("i", "we") and line.tags[i + 2] == "VBD"
        for i in range(first - 2)
    )


def _back_then(line: Line, number: Number) -> bool:
    """"The burn was a six, not a seven, last time"."""
    return any(pair in _THEN for pair in pairwise(line.texts[number.last :]))


_THEN = frozenset({("last", "time"), ("last", "week"), ("last", "year"), ("last", "month"), ("back", "then")})


def _marked_before(rows: Sequence[Line], line: Line, first: int, words: Words) -> bool:
    """Whether the aspect named at token `first` stood with a number in a sentence before."""
    own = {called(line, s, words) for s in spans(line, words) if s[0] == first}
    return any(
        called(row, s, words) in own for row in rows[: line.index] if any(not n.ordinal for n in row.numbers)
        for s in spans(row, words)
    )


_WISHES = Phrases.of(("should be", "should've been", "should have been", "ought to be", "ought to have been"))
_GENERAL = frozenset({"any", "every", "most", "anything", "always", "usually"})
_KINDS = _GENERAL | {"kind", "sort", "class", "calibre", "caliber", "ilk"}
_OPENERS = frozenset({"once", "until", "till", "if", "unless", "whenever"})
_OPINIONS = frozenset({"verdict", "palate", "burn", "appearance", "value", "aside"})


def _ends(line: Line, last: int, words: Words) -> bool:
    """Whether the number ends its clause, small words and units aside."""
    if line.text(last) in words.units and line.joined(last):
        last += 1
    why = any(a == last for a, _ in line.find(REASONS))
    return last >= len(line.tokens) or line.tokens[last].breaks or line.text(last) in _AFTER or why


def _subject(line: Line, number: Number, words: Words, wished: bool = False) -> int | None:
    """The first token of the mark's name where a verb of becoming leads from it to the number. wished: also where
    nothing is taken back."""
    i = number.first - 1
    while line.text(i) in _SMALL and line.joined(i + 1):
        i -= 1
    for forms, sure in ((words.becoming, True), (words.owing, False)):
        for first, end in line.find(forms):
            if not first <= i < end or not all(line.joined(k) for k in range(first, number.first + 1)):
                continue
            if any(line.text(k) in _HIS and line.text(k - 1) in ("to", "for") for k in range(first)):
                return None
            told = sure or wished or _retracts(line, number, words)
            return _named(line, first, words) if told else None
    return _named(line, i, words) if line.text(i) in _BE and _contrasted(line, number) else None


def _contrasted(line: Line, number: Number) -> bool:
    """"The draw is a nine, not an eight", "fourteen rather than sixteen"."""
    i = number.last
    last = i + 1 if line.text(i) == "not" else i + 2 if line.texts[i : i + 2] == ("rather", "than") else i
    last += line.text(last) in ("a", "an")
    return last > i and any(n.first == last and not n.ordinal for n in line.numbers)


_BE = frozenset({"is", "'s", "are", "gets", "was"})


_HIS = frozenset({"him", "her", "them"})


def _named(line: Line, verb: int, words: Words) -> int | None:
    """The token from which on the aspect, or a pronoun for one taken up again, is named right before the verb."""
    i = verb - 1
    while line.text(i) in _ADVERBS and line.joined(i + 1):
        i -= 1
    named = [s for s in spans(line, words) if s[1] == i + 1 and line.joined(i + 1)]
    if named:
        return None if _of_somebody(line, named[0][0]) else named[0][0]
    return i if line.text(i) in _IT and reopened(line, words) is not None else None


def _of_somebody(line: Line, first: int) -> bool:
    """"The neighbour's burn", "his burn" is of another smoke; "this one's burn" is not."""
    owner = line.text(first - 1) in ("'s", "his", "her", "their", "your") and line.joined(first)
    return owner and line.text(first - 2) not in _OWN


_OWN = frozenset({"one", "it", "cigar", "today", "tonight", "here", "stick", "smoke"})


def _retracts(line: Line, number: Number, words: Words) -> bool:
    """Whether the speaker takes something back: "nah, …", "on reflection …", "…, I wrote that before the olive"."""
    taken_back = line.find(words.correction, 0, number.first) or line.find(words.regrets) or line.find(words.reopening)
    i = next((k for k in range(number.last, len(line.tokens)) if line.text(k) in ("i", "i'd")), len(line.tokens))
    wrote = line.text(i + 1) in _WROTE and not _PAST.isdisjoint(line.texts[i:])
    return (bool(taken_back) or wrote) and not line.find(_AT_A_PRICE) and _GENERAL.isdisjoint(line.texts)


_AT_A_PRICE = Phrases.of(tuple(f"{at} {that} {price}" for at in ("at", "for") for that in ("that", "this", "the")
                               for price in ("price", "money")))
_WROTE = frozenset({"wrote", "said", "gave", "put", "marked", "scored", "was"})
