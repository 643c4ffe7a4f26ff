"""Rule: one mark for two aspects: "draw and burn both get eight", "eight each for …", "and the same for the draw"."""

from __future__ import annotations

from itertools import pairwise

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.aspect import OVERALL, name
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.scale import scales

_BOTH = frozenset({"both", "each", "apiece", "alike"})
_SAMES = (
    ("so", "is"), ("so", "does"), ("so", "did"), ("so", "has"), ("so", "was"), ("the", "same"), ("same", "again"),
    ("likewise",), ("ditto",), ("as", "much"), ("same",),
)
_GIVES = frozenset({"gets", "get", "got", "for", "on", "is", "scores", "earns", "takes", "too", "and", "with", "the"})
_REACH = 5


def both(line: Line, number: Number, words: Words) -> list[str]:
    """The two or more aspects that share the number, [] where it is not said to be shared."""
    said = [i for i in range(len(line.tokens)) if line.text(i) in _BOTH]
    if not said:
        return _topics(line, number, words)
    if any(_away(n, said) < _away(number, said) for n in line.numbers if not n.ordinal):
        return []
    spans = [s for s in line.find(words.aspects) if not any(n.first < s[1] and s[0] < n.last for n in line.numbers)]
    joined = [
        (a, b) for a, b in pairwise(spans)
        if [line.text(i) for i in range(a[1], b[0])] in (["and"], ["and", "the"], ["and", "for"], [], ["the"])
    ]
    between = any(a[0] < n.first < b[0] for a, b in joined for n in line.numbers)
    if not joined or between:
        return []
    return [name(line, s, words) for s in dict.fromkeys(s for pair in joined for s in pair)]


def _topics(line: Line, number: Number, words: Words) -> list[str]:
    """"Looks and aroma, they can share, seven", "complexity and finish, I'd put them in one line, 90": two aspects open
    the sentence, are taken up together, and it gives one number and names no other aspect."""
    found = line.find(words.aspects)
    if line.section not in ("verdict", "palate") and not line.noun(words):
        return []
    tops = {s.first for s in scales(line)} | {i for s in scales(line) if s.number < 0 for i in range(s.first, s.last)}
    others = [n for n in line.numbers if n.first != number.first and not n.ordinal and not any(
        i in tops for i in range(n.first - 2, n.last)
    )]
    if len(found) < _PAIR or others or line.find(words.named)[0][0] > _OPENING or found[-1][1] > number.first:
        return []
    joins = [[line.text(i) for i in range(a[1], b[0])] for a, b in pairwise(found)]
    middle = line.texts[found[-1][1] : number.first]
    after = line.texts[number.last : number.last + 3]
    taken_up = not _TOGETHER.isdisjoint((*middle, *after))
    if not taken_up or any("and" not in join or not set(join) <= {"and", "the", "for", "its"} for join in joins[-1:]):
        return []
    return [name(line, s, words) for s in found]


_PAIR, _OPENING = 2, 3
"""Aspects at least, and tokens before the first one; our own choice, no outside source."""
_TOGETHER = frozenset({"they", "them", "together", "pair", "two", "alike", "jointly", "either", "same"})


def _away(number: Number, said: list[int]) -> int:
    """Tokens between the number and the nearest word that says "both"."""
    return min(max(number.first - i, i - number.last + 1) for i in said)


def same(line: Line, after: int, recent: str, words: Words) -> tuple[str, int, int] | None:
    """The aspect other than `recent` that gets the mark before as well, and the tokens that say so, from `after` on."""
    for span in line.find(words.named, after):
        whole = tuple(t.text for t in line.tokens[span[0] : span[1]]) in words.overall
        aspect = OVERALL if whole else name(line, span, words)
        if aspect == recent or any(n.first >= after and n.first <= span[1] + _REACH for n in line.numbers):
            continue
        for i in range(max(span[0] - _REACH, after), min(span[1] + _REACH, len(line.tokens))):
            for form in _SAMES:
                if tuple(line.text(j) for j in range(i, i + len(form))) != form:
                    continue
                if form[0] == "so" and (not after or i > span[0]):
                    continue
                middle = range(i + len(form), span[0]) if i < span[0] else range(span[1], i)
                if all(line.text(j) in _GIVES for j in middle):
                    return aspect, min(i, span[0]), max(i + len(form), span[1])
    return None
