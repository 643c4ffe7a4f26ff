"""Rule: a mark named again by its value, and the new value beside it: "that nine, on reflection, eleven", "make that 75
an 80", "two's mean, give it a three", "where I put seven you can put eight". In an aside it takes a word of scoring
or an aspect: "I said six, Tom, well, seven" is about the clock."""

from __future__ import annotations

from itertools import permutations

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import spans
from voicedraft.read.scores.comparison import counts_things
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.steps import Change

_POINTING = frozenset({"that", "the", "my", "those"})
_SMALL = frozenset({
    "a", "an", "the", "well", "so", "maybe", "say", "even", "then", "straight", "good", "and", "but", "perhaps", "fine",
    "right", "okay", "rather", "to", "now", "just", "no", "into", "as", "call",
})
"""What may lead to a number that is all its clause says, or stand between a verb and its number."""
_LEADING = frozenset({
    "becomes", "become", "deserves", "deserve", "gets", "get", "be", "is", "'s", "made", "make", "makes", "put",
    "write", "read", "reads", "give", "call", "have", "go", "say", "merits", "earns", "says", "turns", "goes",
    "has", "takes",
})
_LED = frozenset({
    "it", "him", "her", "them", "that", "this", "i", "i'd", "i'll", "you", "we", "us", "let", "'s", "let's", "can",
    "may", "must", "should", "ought", "to", "wants", "needs", "he", "she", "they", "down", "up", "in", "there", "back",
})
"""What a clause may open with before its verb of giving: "you can put", "it ought to be", "he deserves"."""
_SAID = frozenset({"said", "gave", "put", "had", "marked", "scored", "wrote", "given", "entered", "called", "noted"})
_I = frozenset({"i", "i'd", "i've", "we", "'ve", "'d"})
STAYING = frozenset({"stands", "stays", "stand", "stay", "remains", "remain", "holds", "alone"})
_HELD = STAYING | {"keeps", "counts", "best", "top", "being"}
_HOLDING = frozenset({"leave", "keep", "hold", "by", "to", "out", "of", "from", "scale", "leaving", "keeping"})
_OF = frozenset({"of", "each", "left", "apiece", "more", "all", "others", "other"})


def repointed(line: Line, words: Words) -> list[Change]:
    """The new value beside an old one that the sentence points to, if there is one."""
    if line.section not in _OPINIONS and not line.noun(words):
        return []
    if line.section == "aside" and not (line.noun(words) or spans(line, words)):
        return []
    for old in line.numbers:
        if old.ordinal or _for_people(line, old) or not _points(line, old, words):
            continue
        for new in line.numbers:
            first = None if new.ordinal or new.value == old.value or new.value < 1 else _led(line, old, new, words)
            if first is not None:
                return [Change(first, new.last, new.value, at=new.first, old=old)]
    return []


def held(line: Line) -> list[Number]:
    """Old values named to say that they stay: "leave the four alone", "the eight stands", "keeps its seven"."""
    return [
        n for n in line.numbers if line.text(n.first - 1) in _KEPT and line.joined(n.first) and not n.ordinal and (
            (line.joined(n.last) and line.text(n.last) in STAYING) or line.text(n.first - 2) in _KEEPING
        )
    ]


def unmoved(line: Line) -> list[tuple[Number, Number]]:
    """An old value named and another beside it that it is not, or only might be: "that eight could have been a nine",
    "don't make that seven a nine". "I'd make that eight a nine" and "that eight should be a nine" move it."""
    out = []
    for old, new in permutations((n for n in line.numbers if not n.ordinal), 2):
        start, _ = line.clause_range(line.clause[old.first])
        pointed = line.text(old.first - 1) in ("that", "my") and line.joined(old.first)
        if not pointed or new.first < old.last or line.clause[new.first] != line.clause[old.first]:
            continue
        said = line.texts[start : new.first]
        if not _UNREAL.isdisjoint(said) and not {"i", "i'd"}.intersection(said):
            out.append((old, new))
    return out


_UNREAL = frozenset({
    "not", "n't", "never", "nearly", "almost", "could", "might", "would", "'d", "nothing", "nobody", "don't", "isn't",
    "wasn't", "couldn't", "wouldn't",
})
_KEPT = _POINTING | {"its", "his", "her"}
_KEEPING = frozenset({"leave", "leaving", "keep", "keeps", "keeping", "kept"})
_OPINIONS = frozenset({"verdict", "burn", "palate", "value", "appearance", "aside"})


def _points(line: Line, old: Number, words: Words) -> bool:
    """Whether the number is a mark spoken of: "that nine", "two's mean", "three is for my fridge", "where I put
    seven", "no, not two"."""
    last, lead = old.last, line.text(old.first - 1)
    following = line.text(last) if line.joined(last) else ""
    if following in _HELD | _OF or line.text(old.first - 2) in _HOLDING:
        return False
    opens = _opens(line, old)
    turned = line.text(old.first - 1) == "not" and line.joined(old.first) and bool(
        line.find(words.correction, 0, old.first)
    )
    subject = opens and following in ("'s", "is", "was") and not _number_at(line, last + 1)
    told = {lead, line.text(old.first - 2), line.text(old.first - 3)} if line.joined(old.first) else set()
    i_said = lead in _SAID and not _I.isdisjoint(told)
    if subject or i_said or turned:
        return not counts_things(line, last, words)
    pointing = lead in _POINTING and line.joined(old.first)
    thing = line.joined(last) and line.pos[last] in ("NOUN", "PROPN", "SYM") and line.text(last) not in words.units
    return pointing and not thing and following != "to"


def _for_people(line: Line, old: Number) -> bool:
    """"To my wife that seven is a five": what it is to somebody else."""
    return any(
        line.text(i) in ("to", "for") and not _PEOPLE.isdisjoint(line.texts[i + 1 : min(i + 3, old.first)])
        for i in range(old.first)
    )


_PEOPLE = frozenset({
    "wife", "husband", "brother", "sister", "friend", "mate", "dad", "mum", "father", "mother", "neighbour", "him",
    "her", "them", "others", "people", "somebody", "someone", "uncle", "cousin", "son", "daughter", "partner",
})


def _opens(line: Line, number: Number) -> bool:
    """Whether the number opens its clause, small words aside: "no, two's mean", "and three is for the wind"."""
    start, _ = line.clause_range(line.clause[number.first])
    return all(line.text(i) in _SMALL for i in range(start, number.first))


def _number_at(line: Line, i: int) -> bool:
    return any(n.first in (i, i + 1) for n in line.numbers)


def _led(line: Line, old: Number, new: Number, words: Words) -> int | None:
    """The first token of what gives the new value; None where nothing does."""
    if (counts_things(line, new.last, words) and not _made_of(line, new)) or line.text(new.last) in ("'s", "is", "was"):
        return None
    if new.first < old.first:
        return _verb(line, old, new, words) if line.text(old.first - 1) in _SAID else None
    between = [line.text(i) for i in range(old.last, new.first)]
    if set(between) <= {"a", "an", "into", "to", "the"} and line.joined(new.first):
        return _straight(line, old)
    start, end = line.clause_range(line.clause[new.first])
    alone = end == new.last and all(line.text(i) in _SMALL for i in range(start, new.first))
    if alone and start >= old.last:
        return start
    return _verb(line, old, new, words)


def _made_of(line: Line, new: Number) -> bool:
    """"Make a three from it", "an eight out of that"."""
    i = new.last + (line.text(new.last) == "out")
    return line.text(i) in ("of", "from") and line.text(i + 1) in ("it", "that", "him", "her") and line.joined(i)


def _straight(line: Line, old: Number) -> int | None:
    """"Make that two a two and a half", "call my seven an eight": the verb before the old value."""
    verb = old.first - 2
    return verb if line.text(verb) in ("make", "making", "call", "calling", "turn") and line.joined(old.first) else None


def _verb(line: Line, old: Number, new: Number, words: Words) -> int | None:
    """The start of the clause whose verb gives the value: "so that becomes eleven", "burn may be made five"."""
    start, _ = line.clause_range(line.clause[new.first])
    start = max(start, old.last) if old.last <= new.first else start
    i = new.first - 1
    while i > start and line.text(i) in _SMALL | _LED:
        i -= 1
    if line.text(i) not in _LEADING:
        return None
    named = {k for a, b in spans(line, words) for k in range(a, b)}
    opening = [k for k in range(start, i) if k not in named and line.text(k) not in _LED | _SMALL | _LEADING]
    return None if opening else start
