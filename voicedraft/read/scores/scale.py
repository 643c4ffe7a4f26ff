"""Rule: the scale of a score: "out of ten", "9.5 on 10", "7 from 10", "9/10", "the hundred scale", "scale of nine"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.announced import announced, unit_of
from voicedraft.read.scores.line import Line

SMALLEST, LARGEST = 3, 1000
"""Whole numbers from and to which a speaker's own scale may run (common practice, no source)."""
WEAK_SCALES = frozenset({5, 9, 10, 20, 50, 100})
"""Scales that "on", "of" and "from" may lead to; smaller ones are counts ("one of three")."""
_LEADS = (("out", "of"), ("outta",), ("outa",), ("outof",), ("out", "o"), ("oot", "o"), ("oot",))
_BY_SCALES = frozenset({5, 10, 20, 100})
"""Scales that "by" may lead to in a verdict ("eight by ten", usual in India); a ring gauge is none of them."""
_COUNTED = frozenset({
    "times", "time", "sticks", "stick", "cigars", "cigar", "smokes", "people", "smokers", "folks", "days", "nights",
    "boxes", "matches", "lights", "attempts", "occasions", "puffs", "thirds", "leaves", "friends",
})
"""Nouns that are counted; any other noun between a value and its scale stands for points ("four anchors out of five").
"""
_PERCENT_FROM = 40
"""Fewer per cent than this are no score on a hundred unless an aspect names it (common practice, no source)."""
_AFTER_PERCENT = frozenset({"for", "from", "on", "overall", "in", "then", "and", "but", "to", "it", "this", "here"})
_DAMP = frozenset({"humidity", "humidor", "rh", "relative", "humid", "sure", "certain", "kept", "stored", "rested"})
_BETWEEN = frozenset({"points", "point", "stars", "marks", "here", "for", "even", "maybe", "there", "then"})
_ANNOUNCING = frozenset({
    "each", "all", "marks", "scores", "everything", "always", "marked", "scored", "every", "also", "again", "both",
    "valuation", "evaluation", "assessment", "judgement", "judgment", "rating", "ratings", "grades", "notes",
    "figures", "numbers", "card", "rated", "graded",
})
_WEAK = ("on", "of", "from", "over", "upon")


@dataclass(frozen=True, slots=True)
class Scale:
    """`out_of` of tokens `[first, last)`. `number` is the index of the value that stands on it, -1 for the scale alone.

    `weak` where a bare preposition says it ("seven of ten").
    """

    out_of: float
    first: int
    last: int
    number: int = -1
    weak: bool = False


def whole(number: Number) -> bool:
    """Whether the number may be a scale."""
    return not number.fraction and not number.ordinal and SMALLEST <= number.value <= LARGEST and (
        number.value == int(number.value)
    )


def scales(line: Line) -> list[Scale]:
    """Every scale said in the line, in order."""
    out: list[Scale] = []
    for k, number in enumerate(line.numbers):
        scale = _leading(line, k) or _named(line, number) or _announced(line, number) or _percent(line, k)
        if scale is not None and not _of_things(line, scale):
            out.append(scale)
    marked = {line.numbers[s.number].first for s in out if s.number >= 0}
    alone = [s for s in out if s.number >= 0 or not any(s.first <= i < s.last for i in marked)]
    return alone + _slashed(line) + _parts(line)


def _the_things(line: Line, number: Number, i: int) -> bool:
    """"Two out of the five I bought": things that are at hand are counted."""
    return line.text(i) == "the" and line.joined(number.last)


def _leading(line: Line, k: int) -> Scale | None:
    """The number after "out of" or a weak preposition, and the value before."""
    number = line.numbers[k]
    i = number.first - 1
    while line.text(i) in ("a", "an", "the", "possible") and i > 0 and not _the_things(line, number, i):
        i -= 1
    for lead in _LEADS:
        first = i - len(lead) + 1
        if whole(number) and tuple(line.text(j) for j in range(first, i + 1)) == lead:
            return _strong(line, k, first)
    if k > 0 and whole(number) and line.tokens[number.first].word == line.tokens[number.first - 1].word and (
        line.numbers[k - 1].last == number.first and line.section == "verdict"
    ):
        return Scale(number.value, number.first, number.last, k - 1)
    own = line.section == "verdict" and whole(number) and number.value > _SMALL_OWN and k > 0 and (
        line.numbers[k - 1].value <= number.value
    )
    weak = line.text(i) in _WEAK and (number.value in WEAK_SCALES or own) and not number.fraction
    if weak and k > 0 and line.numbers[k - 1].last == i and not line.tokens[number.first].breaks:
        return Scale(number.value, i, number.last, k - 1, weak=True)
    between = line.text(i - 1) in _BETWEEN and not any(line.tokens[j].breaks for j in (i - 1, i))
    if weak and k > 0 and line.numbers[k - 1].last == i - 1 and between:
        return Scale(number.value, i, number.last, k - 1, weak=True)
    by = line.text(i) == "by" and line.section == "verdict" and number.value in _BY_SCALES
    if by and k > 0 and line.numbers[k - 1].last == i and line.joined(i):
        return Scale(number.value, i, number.last, k - 1, weak=True)
    if weak and i == line.clause_range(line.clause[i])[0] and line.section == "verdict" and line.text(i) != "of":
        after = line.text(number.last)
        if not line.joined(number.last) or after in ("i", "i'd", "points", "marks", "stars", "it", "this", "my"):
            return Scale(number.value, i, number.last)
    leader = line.text(i - 2) if line.text(i - 1) in ("is", "are", "'s", "was", "goes") else line.text(i - 1)
    if weak and leader in _ANNOUNCING and not line.joined(number.last):
        return Scale(number.value, i, number.last)
    return None


def _strong(line: Line, k: int, first: int) -> Scale | None:
    """"Out of ten" with its value, or alone; None where something else is counted ("nine times out of ten")."""
    number = line.numbers[k]
    if k > 0 and line.numbers[k - 1].last == first:
        return Scale(number.value, first, number.last, k - 1)
    if k > 0 and line.numbers[k - 1].last == first - 1 and not line.tokens[first - 1].breaks:
        if line.text(first - 1) in _BETWEEN:
            return Scale(number.value, first, number.last, k - 1)
        noun = line.pos[first - 1] in ("NOUN", "PROPN")
        if noun and line.text(first - 1) not in _COUNTED and line.numbers[k - 1].last == first - 1:
            return Scale(number.value, first, number.last, k - 1, weak=True)
        if line.pos[first - 1] == "NOUN":
            return None
    return Scale(number.value, first, number.last)


def _named(line: Line, number: Number) -> Scale | None:
    """"On the hundred scale", "a ten-point scale", "scale of nine", "scale of one to ten"."""
    if not whole(number):
        return None
    end = number.last + 2 * (line.texts[number.last : number.last + 2] in (("of", "them"), ("of", "'em"), ("of", "em")))
    after = [line.text(end), line.text(end + 1)]
    if after[0] == "being" and line.joined(number.last) and after[1] in ("the", "best", "top", "perfect", "perfection"):
        return Scale(number.value, number.first, number.last)
    after = [line.text(number.last), line.text(number.last + 1)]
    if after[0] == "scale" or (after[0] in ("point", "points", "mark") and after[1] in ("scale", "system")):
        return Scale(number.value, number.first, number.last + (2 if after[0] != "scale" else 1))
    low = next((n for n in line.numbers if n.last == number.first - 1 and n.value in (0, 1)), None)
    if low is not None and line.text(number.first - 1) == "to" and line.section == "verdict":
        return Scale(number.value, low.first, number.last)
    before = [line.text(j) for j in range(max(number.first - 4, 0), number.first)]
    if "scale" in before and before[-1:] in (["of"], ["to"], ["is"]):
        return Scale(number.value, number.first - 1, number.last)
    return None


def _announced(line: Line, number: Number) -> Scale | None:
    """The top of the speaker's own scale, told in words of its own."""
    if not whole(number) or not announced(line, number):
        return None
    return Scale(number.value, number.first, number.last + (unit_of(line, number) is not None))


def _percent(line: Line, k: int) -> Scale | None:
    """"Eighty-five per cent" with nothing measured: a value on a hundred."""
    number, i = line.numbers[k], line.numbers[k].last
    size = 1 if line.text(i) in ("%", "percent") else 2 if (line.text(i), line.text(i + 1)) == ("per", "cent") else 0
    if not size or any(t.text in _DAMP for t in line.tokens) or number.value < _PERCENT_FROM:
        return None
    if line.joined(i + size) and line.text(i + size) not in _AFTER_PERCENT:
        return None
    return Scale(100.0, i, i + size, k, weak=True)


def _of_things(line: Line, scale: Scale) -> bool:
    """Whether things are counted on it: "nine out of ten smokers", "four of five sticks"."""
    i = scale.last
    if scale.number < 0 and line.section == "verdict" and line.noun_in(_MARKS) and line.text(i) not in _COUNTED:
        return False
    return line.joined(i) and line.tags[i] in ("NNS", "NNPS", "CD") and line.text(i) not in ("points", "stars", "marks")


_MARKS = frozenset({"marks", "scores", "points", "ratings", "grades", "score", "mark", "rating", "scoring"})
_SMALL_OWN = 4
"""Up to this scale "two of three" counts things (common practice, no source)."""
_PARTS = {
    "fifths": 5, "sixths": 6, "sevenths": 7, "eighths": 8, "tenths": 10, "twelfths": 12, "fifteenths": 15,
    "twentieths": 20, "thirtieths": 30, "fortieths": 40, "fiftieths": 50, "hundredths": 100,
}


def _parts(line: Line) -> list[Scale]:
    """"I count in thirtieths"."""
    return [
        Scale(float(_PARTS[t.text]), i, i + 1) for i, t in enumerate(line.tokens)
        if t.text in _PARTS and line.text(i - 1) in ("in", "by")
    ]


def _slashed(line: Line) -> list[Scale]:
    """"9/10" in one token: the value is read by `slashed_value`."""
    return [
        Scale(float(t.text.partition("/")[2]), i, i + 1) for i, t in enumerate(line.tokens)
        if "/" in t.text and re.fullmatch(r"\d+(?:\.\d+)?/(?:5|10|20|50|100)", t.text)
    ]
