"""Rule: a mark set anew: "make it eight", "I raise it to eight", "drop that four to a three", "that eight wants to be a
nine", "I was hard on the burn, call it six"."""

from __future__ import annotations

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import spans
from voicedraft.read.scores.comparison import counts_things
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.steps import Change
from voicedraft.read.scores.topic import headed

_SMALL = frozenset({"a", "an", "the", "my", "straight", "even", "say", "maybe", "just", "about", "good", "full"})
_SAYING = 2
"""Small words between the turn and its number; our own choice, no outside source."""
_OBJECTS = frozenset({
    "it", "that", "this", "the", "my", "one", "mark", "score", "number", "up", "down", "back", "from", "on", "for",
    "right", "all", "way", "first", "her", "him", "them",
})
"""What may stand between a verb of changing and the "to" of its new value, beside the aspect and the old value."""
_REACH = 9
"""Tokens between a verb of changing and its new value; our own choice, no outside source."""
_POINTING = frozenset({"that", "the", "my", "those"})
_BE = frozenset({"be", "is", "'s", "becomes", "become", "makes", "into", "for"})


def resets(line: Line, words: Words) -> list[Change]:
    """Every new value of a mark, in order."""
    out = [c for first, end in line.find(words.amend) if (c := _set(line, first, end, words))]
    for number in line.numbers:
        if number.ordinal or counts_things(line, number.last, words) or any(c.at == number.first for c in out):
            continue
        first = _moved(line, number, words)
        first = _turned(line, number, words) if first is None else first
        if first is not None:
            out.append(Change(first, number.last, number.value, at=number.first))
    if line.find(words.regrets) or line.find(words.reopening) or headed(line, words):
        called = [c for first, end in line.find(words.calling) if (c := _set(line, first, end, words))]
        out += [c for c in (*called, *_alone(line, words)) if not any(c.at == o.at for o in out)]
    return out + [c for c in _concluded(line, words) if not any(c.at == o.at for o in out)]


def _alone(line: Line, words: Words) -> list[Change]:
    """"I was too hard on the burn, it fixed itself, eighty-three": a number that is all its clause says."""
    after = max((b for _, b in line.find(words.regrets) + line.find(words.reopening)), default=0)
    return [
        Change(n.first, n.last, n.value, at=n.first) for n in line.numbers
        if n.first >= after and line.clause_range(line.clause[n.first]) == (n.first, n.last) and not n.ordinal
    ][:1]


def _concluded(line: Line, words: Words) -> list[Change]:
    """"I said fourteen for that, and it never got better, so thirteen": what was said, and what follows now."""
    if not line.numbers or not set(line.texts[line.numbers[-1].last :]) <= _ENDINGS:
        return []
    last = line.numbers[-1]
    so = line.text(last.first - 1) in _SO and line.clause_range(line.clause[last.first])[0] == last.first - 1
    said = [
        n for n in line.numbers[:-1] if not n.ordinal and _i_said(line, n) and not counts_things(line, n.last, words)
    ]
    return [Change(last.first - 1, last.last, last.value, at=last.first)] if so and len(said) == 1 else []


def _i_said(line: Line, number: Number) -> bool:
    """"I said fourteen"; not "he said fourteen"."""
    verbs = [i for i in range(max(number.first - 3, 0), number.first) if line.text(i) in _SAID]
    return bool(verbs) and _OTHERS.isdisjoint(line.texts[max(verbs[0] - 2, 0) : verbs[0]])


_ENDINGS = frozenset({"there", "too", "then", "for", "that", "it", "now", "instead", "as", "well", "today"})
_OTHERS = frozenset({"he", "she", "they", "it", "who", "you"})
_SO = frozenset({"so", "hence", "therefore"})
_SAID = frozenset({"said", "gave", "had", "put", "called", "marked", "scored", "wrote"})


def _set(line: Line, first: int, end: int, words: Words) -> Change | None:
    """The turn `[first, end)` with the value right after it: "make it a straight eight"."""
    at = end
    while at < end + _SAYING and line.text(at) in _SMALL:
        at += 1
    number = next((n for n in line.numbers if n.first == at and not n.ordinal), None)
    if number is None or counts_things(line, number.last, words):
        return None
    return Change(first, number.last, number.value, at=at)


def _moved(line: Line, number: Number, words: Words) -> int | None:
    """The verb of changing whose "to" leads to the number: "moving that to a seven", "raise it from six to seven"."""
    i = number.first - 1
    while line.text(i) in _SMALL and line.joined(i + 1):
        i -= 1
    if line.text(i) != "to" or not line.joined(i + 1):
        return None
    named = {k for a, b in spans(line, words) for k in range(a, b)}
    named |= {k for n in line.numbers for k in range(n.first, n.last)}
    for k in range(i - 1, max(i - _REACH, -1), -1):
        if line.text(k) in words.changing:
            return k if k + 1 < i else None
        if line.text(k) in _GOES and line.text(i - 1) in ("up", "down", "back") and k == i - 2:
            return k if _subject(line, k, words) else None
        if (line.text(k) not in _OBJECTS and k not in named) or line.tokens[k].breaks:
            return None
    return None


_GOES = frozenset({"goes", "go", "going", "comes", "come", "coming"})


def _subject(line: Line, verb: int, words: Words) -> bool:
    """"So it goes up to three", "that comes down to six", "the burn goes up to nine": the mark is what moves."""
    i = verb - 1 - (line.text(verb - 1) in ("can", "'s", "is", "should", "must", "may"))
    named = any(last == i + 1 for _, last in spans(line, words))
    return named or line.text(i) in ("it", "that", "it's", "that's", "mark", "score")


def _turned(line: Line, number: Number, words: Words) -> int | None:
    """The old value that becomes the number: "that eight I gave it wants to be a nine", "that four's a five"."""
    i = number.first - 1
    while line.text(i) in _SMALL and line.joined(i + 1):
        i -= 1
    if line.text(i) not in _BE or not line.joined(i + 1):
        return None
    old = [n for n in line.numbers if n.last <= i and not n.ordinal and line.text(n.first - 1) in _POINTING]
    if not old or line.clause[old[-1].first] != line.clause[i] or i - old[-1].last > _REACH:
        return None
    straight = i == old[-1].last
    given = not words.give.isdisjoint(line.texts[old[-1].last : i]) or line.text(i - 1) in ("to", "should", "must")
    return old[-1].first - 1 if straight or given else None
