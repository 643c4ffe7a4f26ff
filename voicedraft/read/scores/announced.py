"""Rule: a scale in the speaker's own words: "fifty's the top mark", "my marks go to nine", "I count in bars, sixteen".
"""

from __future__ import annotations

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.line import Line

_TOPS = frozenset({
    "top", "most", "best", "maximum", "max", "highest", "ceiling", "limit", "perfect", "perfection", "full", "summit",
    "tops",
})
_COPULAS = frozenset({"is", "'s", "are", "was", "being", "be", "means", "'re", "would"})
_EXTENT = frozenset({
    "go", "goes", "run", "runs", "stretch", "stretches", "reach", "reaches", "stop", "stops", "end", "ends", "climbs",
    "count", "mark", "score", "rate", "grade", "judge", "value", "measure", "counts", "marks", "scores",
})
_FIGURES = frozenset({
    "scale", "mark", "marks", "score", "scores", "points", "card", "ladder", "system", "rating", "ratings", "grades",
    "grade", "stars", "sheet", "count", "scoring", "marking", "value", "rate", "judge", "measure", "ruler", "chart",
})
_HABIT = frozenset({"count", "mark", "score", "rate", "grade", "judge", "value", "measure", "work", "use", "marking"})
_WAYS = frozenset({"in", "from", "to", "on", "with", "by", "of"})
_OBJECTS = frozenset({"it", "this", "that", "the", "him", "her", "one"})
_USES = frozenset({"do", "use", "have", "work", "mark", "run", "keep"})
_PEOPLE = frozenset({"i", "we", "they", "people", "you"})
_NEAR, _FAR = 4, 7


def announced(line: Line, number: Number) -> bool:
    """Whether the number is said to be the top of the speaker's own scale."""
    if line.section in ("first_third", "second_third", "final_third", "prelight", "pairings"):
        return False
    first, last = line.clause_range(line.clause[number.first])
    before = [line.text(i) for i in range(max(first, number.first - _FAR), number.first)]
    after = [line.text(i) for i in range(number.last, min(number.last + _NEAR, last))]
    figures = any(t.text in _FIGURES for t in line.tokens)
    if unit_of(line, number) is not None or _told_scale(line) or _each(after, line, number):
        return True
    return _topped(before, after, figures) or _reached(before, figures) or _counted(line, number, before, after)


def _topped(before: list[str], after: list[str], figures: bool) -> bool:
    """"Fifty's the top mark", "the most you can get is thirty", "where ten is the best", "nine being perfect"."""
    follows = after[:1] != [] and after[0] in _COPULAS and not _TOPS.isdisjoint(after[1:])
    leads = before[-1:] != [] and before[-1] in _COPULAS and not _TOPS.isdisjoint(before[:-1])
    return (follows and not {"it", "this"}.intersection(before)) or (leads and figures)


_OWN = (("my", "scale"), ("i", "score"), ("i", "mark"), ("i", "rate"), ("the", "scale"), ("our", "scale"))


_HOLDS = frozenset({"is", "goes", "has", "holds", "takes", "makes", "counts", "runs"})
_NO_UNITS = frozenset({
    "minutes", "hours", "days", "weeks", "months", "years", "sticks", "cigars", "boxes", "dollars", "pounds", "euros",
    "puffs", "people", "thirds", "inches", "degrees", "times", "relights", "matches", "friends", "percent",
})


def unit_of(line: Line, number: Number) -> str | None:
    """What the scale counts where it is told by what is full: "a rack is seven bones", "ten nails to the plank"."""
    i = number.last
    if line.section != "verdict" or not line.joined(i) or line.tags[i] != "NNS" or line.text(i) in _NO_UNITS:
        return None
    before = [line.text(j) for j in range(max(number.first - 4, 0), number.first)]
    holds = before[-1:] != [] and before[-1] in _HOLDS and not {"a", "an", "the"}.isdisjoint(before)
    holds = holds and not {"it", "this", "cigar", "that"}.intersection(before)
    filled = line.text(i + 1) in ("to", "in", "make", "makes", "per") and line.text(i + 2) in ("a", "the")
    return line.text(i) if holds or filled else None


def _told_scale(line: Line) -> bool:
    """"Bars of sixteen, that's my scale", "twelve rounds, that's how I score": the line's only number."""
    if len(line.numbers) != 1 or line.numbers[0].first > _FAR:
        return False
    texts = [t.text for t in line.tokens]
    points = "that's" in texts or "that" in texts
    at = line.numbers[0].last
    return points and any(tuple(texts[i : i + 2]) in _OWN for i in range(at, len(texts)))


def _each(after: list[str], line: Line, number: Number) -> bool:
    """"Twenty points each": the top of every mark that follows."""
    return number.first == 0 and after[:1] != [] and after[0] in ("points", "marks") and after[1:2] in (
        ["each"], ["apiece"], ["to"], ["possible"],
    ) and len(line.numbers) == 1


def _reached(before: list[str], figures: bool) -> bool:
    """"My marks go to nine", "the scale runs up to twelve"."""
    words = [w for w in before if w not in ("up", "as", "far", "only", "just", "all", "the", "way")]
    return figures and words[-1:] == ["to"] and words[-2:-1] != [] and words[-2] in _EXTENT


def _counted(line: Line, number: Number, before: list[str], after: list[str]) -> bool:
    """"I value from eighty points", "we mark out of thirty here", "I count in bars, sixteen of them"."""
    habit = [i for i, w in enumerate(before) if w in _HABIT]
    if habit and before[-1] in _WAYS:
        rest = before[habit[-1] + 1 :]
        return not _OBJECTS.intersection(rest) and len(rest) <= _NEAR
    if _habit_of_stars(before, after):
        return True
    if after[:2] != ["of", "them"] or number.first == 0:
        return False
    start, end = line.clause_range(max(line.clause[number.first] - 1, 0))
    told = [line.text(i) for i in range(start, end)]
    return not _HABIT.isdisjoint(told) and not _WAYS.isdisjoint(told)


def _habit_of_stars(before: list[str], after: list[str]) -> bool:
    """"I do five stars", "we use a hundred points here"."""
    words = [w for w in before if w not in ("a", "always", "only", "just")]
    plain = words[-1:] != [] and words[-1] in _USES and words[-2:-1] != [] and words[-2] in _PEOPLE
    return plain and after[:1] != [] and after[0] in ("stars", "points", "marks", "grades") and (
        after[1:2] == [] or after[1] in ("here", "in", "at", "only", "not", "and", "around")
    )
