"""Rule: what another cigar would have got, or this one in other circumstances, is no mark: "last box I'd have made it a
nine", "had it been drier I'd have given it a nine"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import Mark
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.whose import inverted, other_cigar_before, would_have


def of_others(found: Sequence[Mark], words: Words) -> frozenset[tuple[int, int]]:
    """Sentence and first token of the numbers that the clause gives in a "would have", to another cigar or under a
    condition, or that somebody else would give."""
    return frozenset(mark.place for mark in found if _of_another(mark.line, mark.number, words))


def _of_another(line: Line, number: Number, words: Words) -> bool:
    if _person_would(line, number, words):
        return True
    elsewhere = other_cigar_before(line, number.first, words) or inverted(line, number)
    return elsewhere and would_have(line, number)


_I = frozenset({"i", "ah", "aye", "oi"})
_OBJECTS = frozenset({"it", "him", "her", "them", "that"})
_PRONOUNS = frozenset({"he", "she", "they", "you"})


def _person_would(line: Line, number: Number, words: Words) -> bool:
    """"Brid would have it a nine", "my uncle would make that eight a nine": what somebody else would give it.

    A pronoun may stand for the cigar ("he'd get an eight"), and so may a name that was said of its maker, but not where
    the cigar is marked by it ("Brid would have it a nine")."""
    start, _ = line.clause_range(line.clause[number.first])
    for i in range(start + 1, number.first):
        who = line.text(i - 1)
        noun = line.pos[i - 1] == "PROPN" or (i == 1 and line.pos[0] == "NOUN")
        named = noun and line.tokens[i - 1].printed[:1].isupper() and who not in _I
        named = named and (who not in line.own or not _OBJECTS.isdisjoint(line.texts[i : number.first]))
        person = named and not line.find(words.named, i - 1, i)
        if line.text(i) in ("would", "'d") and (person or who in words.speakers - _PRONOUNS):
            return True
    return False
