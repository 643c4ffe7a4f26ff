"""Rule: a number that stands free, so that it may be a score: no unit, no count of things, no time, no price."""

from __future__ import annotations

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.line import Line, Words

_SIGNS = frozenset({"£", "$", "€", "₹", "₱", "¥"})
_NOT_BEFORE = _SIGNS | {
    "by", "number", "minute", "past", "till", "until", "page", "take", "act", "lot", "batch", "o'clock", "half", "box",
    "episode", "chapter", "after", "before", "nearly", "another", "these", "those", "last", "first", "next", "plus",
    "minus", "times",
}
_NOT_AFTER = frozenset({
    "by", "past", "times", "o'clock", "of", "percent", "%", "degrees", "more", "other", "hundred", "thousand", "to",
    "ways", "apiece", "each", "quid", "bucks", "dollars", "pounds", "euros", "or", "that", "days", "x", "am", "pm",
})
_SMALL = frozenset({
    "so", "a", "an", "and", "then", "say", "maybe", "call", "it", "it's", "'s", "that", "okay",
    "yes", "yeah", "but",
})
_POINTS_FROM = 50
"""Fewer points than this are a difference, not a score on a hundred (common practice, no source)."""
_GOVERNS = 6
"""Words before a number in which a verb of giving governs it."""
_TEN, _HALF_OF_TEN, _PLAIN_FROM = 10, 5, 60
"""A verdict's number without a scale is on ten from the half up, on a hundred from 60 up (common practice, no source).
"""
_AROUND = _SMALL | {
    "then", "from", "me", "for", "now", "overall", "just", "about", "solid", "i", "i'd", "'d", "i'll", "'ll", "think",
    "reckon", "guess", "is", "my", "score", "number", "mark", "final", "finally", "right", "well", "this", "one", "the",
    "cigar", "on", "let", "'s", "us", "yep", "aye", "honestly", "straight", "flat", "even", "or", "thereabouts",
}
_TAKES = frozenset({
    "buy", "bought", "smoke", "smoked", "have", "another", "left", "take", "took", "away", "hour", "minutes", "before",
    "after", "till", "until", "by", "these", "those", "them", "cost", "costs", "paid", "pay", "age", "aged",
})
_LOOSE = frozenset({"had", "comes", "takes", "stands", "stays", "going", "said", "say", "saying", "makes", "making"})
_PLAIN_LEADS = frozenset({
    "is", "'s", "at", "to", "say", "said", "it's", "was", "on", "earns", "get", "gets", "got", "gotten", "go", "stop",
    "place", "placed", "for", "i'm", "sits", "finishes", "ends", "worth",
})
_OBJECTS = frozenset({"it", "this", "him", "her", "that", "one", "cigar", "smoke"})
_POINTERS = frozenset({"this", "that", "the", "which", "any", "no", "each", "every", "another"})
_MONEY = _SIGNS | {
    "dollars", "pounds", "euros", "quid", "bucks", "rupees", "francs", "pence", "cents", "paid", "cost", "costs",
    "price", "pay",
}


def free(line: Line, number: Number, words: Words) -> bool:
    """Whether the number counts nothing."""
    i, j = number.first - 1, number.last
    if pronoun(line, number):
        return False
    if number.ordinal or number.value < 0 or (number.fraction and number.value < 1) or number.value > 100:
        return False
    if i >= 0 and line.text(i) in _NOT_BEFORE and line.joined(number.first):
        return False
    if line.joined(j):
        if line.text(j) in words.units or line.text(j) in line.units:
            return True
        if line.text(j) == "each" and line.text(j + 1) in ("for", "to"):
            return True
        if line.text(j) in _NOT_AFTER and not _of_it(line, number):
            return False
        if line.pos[j] in ("NOUN", "PROPN", "NUM", "ADJ") and not line.find(words.named, j, j + 1):
            return False
    money = any(line.text(k) in _MONEY for k in range(len(line.tokens)) if line.clause[k] == line.clause[number.first])
    return not money


def _of_it(line: Line, number: Number) -> bool:
    """"This fills twenty-three of it": of the marks that there are."""
    return line.section == "verdict" and line.text(number.last) == "of" and line.text(number.last + 1) in ("it", "them")


def plain(line: Line, number: Number, words: Words) -> bool:
    """Whether a verdict gives the number without any scale: "a solid eight", "call it eighty-seven", "Eighty-six."."""
    if any(t.text in ("buy", "bought", "order", "ordered") for t in line.tokens):
        return False
    clause, i = line.clause[number.first], number.first - 1
    before = [line.text(j) for j in range(max(number.first - _GOVERNS, 0), number.first) if line.clause[j] == clause]
    while i > 0 and line.pos[i] in ("ADJ", "ADV") and line.joined(number.first):
        i -= 1
    noun = line.joined(number.last) and line.pos[number.last] in ("NOUN", "PROPN", "VERB")
    if line.text(i) in ("a", "an") and line.clause[i] == clause and not noun:
        return 1 < number.value <= _TEN or number.value >= _POINTS_FROM
    if not (_HALF_OF_TEN <= number.value <= _TEN or number.value >= _PLAIN_FROM) or noun or set(before) & _TAKES:
        return False
    first, last = line.clause_range(clause)
    rest = {line.text(j) for j in [*range(first, number.first), *range(number.last, last)]}
    if rest <= _AROUND and (len(rest) > 0 or last - first == len(line.tokens) or number.value >= _PLAIN_FROM):
        return True
    if set(before) & (words.give - _LOOSE):
        return True
    return number.value >= _PLAIN_FROM and bool(set(before) & _PLAIN_LEADS)


def one(line: Line, number: Number) -> bool:
    """Whether the number is the word "one", which is more often a pronoun."""
    return number.last == number.first + 1 and line.text(number.first) == "one"


def pronoun(line: Line, number: Number) -> bool:
    """Whether it is the "one" of "this one"."""
    before = line.text(number.first - 1)
    return one(line, number) and (before in _POINTERS or line.pos[number.first - 1] == "ADJ")


def given(line: Line, number: Number, words: Words) -> bool:
    """Whether a verb of giving a score governs the number ("I'd put it at nine", "seven it is")."""
    clause = line.clause[number.first]
    before = range(max(number.first - 5, 0), number.first)
    if any(line.text(i) in words.give for i in before if line.clause[i] == clause):
        return True
    if line.text(number.first - 1) in words.give_near and line.clause[number.first - 1] == clause:
        return True
    return any(first == number.last for first, _ in line.find(words.give_after, number.last, number.last + 2))


def alone(line: Line, number: Number) -> bool:
    """Whether the number is all its clause says after a small word ("so eighty-eight"), or all the sentence says."""
    first, last = line.clause_range(line.clause[number.first])
    led = first < number.first or len(line.tokens) <= number.last - number.first + 2
    return led and all(line.text(i) in _SMALL for i in range(first, last) if not number.first <= i < number.last)


def scored(line: Line, number: Number, words: Words) -> bool:
    """Whether a verb of scoring alone, or points or stars, make the number a score though no scale is said."""
    if line.text(number.last) in words.units and line.joined(number.last):
        return number.value >= _POINTS_FROM or line.text(number.last).startswith("star")
    before = [line.text(i) for i in range(max(number.first - 5, 0), number.first)]
    verbs = [k for k, w in enumerate(before) if w in words.scoring]
    given = bool(verbs) and any(w in _OBJECTS for w in before[verbs[-1] + 1 :])
    return given and (number.value >= _POINTS_FROM or 5 <= number.value <= 10)


def corrected(line: Line, number: Number, opening: int, words: Words) -> bool:
    """Whether a turn of correction stands before the number in the sentence: anywhere, or (where `opening` is not 0)
    within its first `opening` words or right before the number."""
    spans = line.find(words.correction, 0, number.first)
    return any(not opening or a < opening or number.first - b < opening for a, b in spans)


_HEADING = 8
"""Words at most before a mark that ends its sentence ("For the whole machine, four and a half")."""
_MEASURES = frozenset({
    "minutes", "minute", "hour", "hours", "o'clock", "years", "year", "degrees", "inches", "inch", "box", "boxes",
    "sticks", "stick", "puffs", "days", "weeks", "months",
})


def closes(line: Line, number: Number, words: Words) -> bool:
    """"Global, seven.", "The aggregate is 74": a few words of heading, and the number ends its clause."""
    first = max([n.last for n in line.numbers if n.last <= number.first], default=0)
    before = range(first, number.first)
    if line.text(number.last) in line.units:
        return not line.noun_in(_TAKES)
    ends = number.last == len(line.tokens) or line.tokens[number.last].breaks or line.text(number.last) == "and" or (
        _of_it(line, number)
    )
    if line.text(number.first - 1) == "or" or not ends or len(before) > _HEADING or not before or one(line, number):
        return False
    _, end = line.clause_range(line.clause[number.first])
    counted = any(line.text(i) in _TAKES | _MEASURES for i in range(end))
    if counted or any(line.text(i) in words.speakers for i in before):
        return False
    if line.find(words.this, first, number.first):
        return True
    said = words.give | words.give_near | {"'ve", "have", "let", "do", "are", "am", "'m", "'ll", "'d"}
    return all(line.pos[i] != "VERB" or line.text(i) in said for i in before)
