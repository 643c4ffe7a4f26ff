"""How often an act was done: "twice", "just the once", "three times", and which numbers may count acts at all."""

from __future__ import annotations

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.small_words import SUBJECTS
from voicedraft.read.numbers import Number
from voicedraft.read.numbers.phrases import Hit

_MOST = 12
_OTHER_UNITS = frozenset({
    "minutes", "minute", "hour", "puffs", "puff", "out", "percent", "per", "inches", "inch", "millimetres", "matches",
    "match",
    "mil", "centimetres", "seconds", "hours", "past", "o'clock", "hundred", "draws", "sides", "pulls", "of", "clicks",
})
_THIRDS = frozenset({"first", "second", "final", "last", "middle", "opening", "this", "each", "every", "per"})


def small(line: Line, number: Number) -> bool:
    """Whether the number may count acts: whole, small, and of nothing else ("two minutes", "the second third")."""
    after = line.tokens[number.last] if number.last < len(line.tokens) else None
    counts_other = after is not None and not after.breaks and after.text in _OTHER_UNITS
    counts_other = counts_other or _or_so_many(line, number)
    score = number.first > 0 and line.tokens[number.first - 1].text in ("minute", "of", "at", "a", "an")
    if number.ordinal and number.first and line.tokens[number.first - 1].text in _THIRDS:
        return False
    whole = number.value == int(number.value) and 0 <= number.value <= _MOST
    return whole and not number.fraction and not counts_other and not score


def _or_so_many(line: Line, number: Number) -> bool:
    """"three or four pulls": the number before "or" counts what the one after it counts."""
    if [t.text for t in line.tokens[number.last : number.last + 1]] not in (["or"], ["to"]):
        return False
    after = next((n for n in line.quantities.numbers if n.first == number.last + 1), None)
    return after is not None and after.last < len(line.tokens) and line.tokens[after.last].text in _OTHER_UNITS


def how_often(line: Line, first: int, last: int) -> Hit[int] | None:
    """How often tokens `[first, last)` say that an act was done; None where they do not say."""
    for path, count in (("count.thrice", 3), ("count.twice", 2), ("count.once", 1)):
        for word in line.find(path, first, last):
            before = [t.text for t in line.tokens[max(0, word.first - 1) : word.first]]
            after = [t.text for t in line.tokens[word.last : word.last + 1]]
            if _denied(line, word):
                continue
            if (count > 1 or after not in (["more"], ["again"])) and before not in (["never"], ["not"]):
                return _later(line, Hit(count, word.first, word.last), last)
    for number in line.quantities.numbers:
        if number.ordinal and other_time(line, number.last):
            continue
        if first <= number.first and number.last < last and line.tokens[number.last].text in ("time", "times"):
            return Hit(int(number.value), number.first, number.last + 1)
    return None


def _later(line: Line, told: Hit[int], last: int) -> Hit[int]:
    """"twice, no, three times": what a correction right after puts in its place."""
    for number in line.quantities.numbers:
        near = told.last <= number.first <= told.last + 5 and number.last <= last
        if near and small(line, number) and line.corrected(told.last, number.first, strict=True):
            return Hit(int(number.value), told.first, number.last)
    return told


def _denied(line: Line, word: Hit[str]) -> bool:
    """"I ain't had to strike fire to it twice": denied in its own clause, and nothing left over ("but the once")."""
    start, _ = line.clause(word.first)
    nots = [h for h in line.find("count.none", start, word.first) if h.last < word.first]
    return word.value == "twice" and bool(nots) and not line.has("count.except", nots[-1].last, word.first)


def other_time(line: Line, i: int) -> bool:
    """"the second time I've smoked this outdoors": after "time" at token `i` a clause tells of something else."""
    after = line.tokens[i + 1] if i + 1 < len(line.tokens) else None
    return after is not None and after.text in SUBJECTS and not after.breaks
