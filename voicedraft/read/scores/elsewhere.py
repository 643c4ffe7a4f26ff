"""Rule: a change of a mark that is told of other circumstances, by other people or as a joke changes nothing: "in a
humid room the burn drops to a four", "according to my brother the burn is now a four", "a two, just kidding"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import spans
from voicedraft.read.scores.line import Line, Words

_PLACES = frozenset({"in", "on", "under", "back", "out", "without"})
_REASONS = frozenset({"at", "with", "for", "to"})
_SOME = frozenset({"a", "an", "another", "any", "its", "his", "her", "their"})
"""After a word of reason these lead to a wish or to what is not here: "with another year", "at its best"; "with the
relight" is a reason."""
_SKIPPED = frozenset({"and", "but", "so", "now", "well", "then", "also", "no", "actually", "wait", "nah"})
_AUXILIARIES = frozenset({"was", "is", "did", "does", "had", "have"})
_ASKED = frozenset({"it", "that", "this", "i", "what"})
_PUFFED = frozenset({"puff", "puffs", "match", "matches", "relight", "relights", "draws"})
_COMES_TO = (("comes", "down", "to"), ("came", "down", "to"), ("boils", "down", "to"))
_FITTING = frozenset({"fair", "right", "fairer", "better", "closer", "fine"})
_NOT_YET = frozenset({"had", "were", "should"})
_SOMEDAY = frozenset({"next", "wish", "wished", "hoping"})


def elsewhere(line: Line, first: int, words: Words) -> bool:
    """Whether what is said of a mark from token `first` on holds of other circumstances, is a joke, is asked back, or
    is what others told."""
    if line.find(words.joking) and not _aside(line, words):
        return True
    if line.find(words.told_by, 0, first) or not _SOMEDAY.isdisjoint(line.texts[:first]):
        return True
    return _circumstance(line, first, words) or _asked_back(line) or line.text(0) in _NOT_YET


def never_given(rows: Sequence[Line]) -> frozenset[tuple[int, int]]:
    """Sentence and first token of the numbers that no aspect has as its mark: those asked back ("the burn, what was it,
    five?"), those turned down as wrong ("six would be mean"), counts of puffs and matches, and the one
    thing that all comes down to."""
    out: set[tuple[int, int]] = set()
    for line in rows:
        for number in line.numbers:
            asked = number is line.numbers[-1] and number.last == len(line.tokens) and _asked_back(line)
            counted = line.joined(number.last) and line.text(number.last) in _PUFFED
            lead = line.texts[max(number.first - 3, 0) : number.first]
            if asked or counted or (number.value == 1 and lead in _COMES_TO) or _turned_down(line, number):
                out.add((line.index, number.first))
    return frozenset(out)


def _turned_down(line: Line, number: Number) -> bool:
    i = number.last
    would = line.texts[i : i + 2] == ("would", "be") and line.joined(i)
    return would and i + 2 < len(line.pos) and line.pos[i + 2] == "ADJ" and line.text(i + 2) not in _FITTING


def _aside(line: Line, words: Words) -> bool:
    """"Joking aside, the burn is now a four" is meant."""
    return any(line.text(last) in ("aside", "apart") for _, last in line.find(words.joking))


def _circumstance(line: Line, first: int, words: Words) -> bool:
    """Whether a place, a time, a person or a wish heads the sentence: "on a windy day the burn falls to four".

    "In the end", "on reflection" and "with that" do not, nor does what names the aspect itself ("on the burn")."""
    at = 0
    while line.text(at) in _SKIPPED:
        at += 1
    if at >= first or line.find(words.summing_up, at, first):
        return False
    mine = line.text(at + 1) in ("my", "the") and line.text(at + 2) in words.speakers
    some = line.text(at) in _REASONS and (line.text(at + 1) in _SOME or mine)
    if line.text(at) not in _PLACES and not some:
        return False
    aspect = any(at < a <= at + 2 for a, _ in spans(line, words))
    return not aspect and not line.find(words.reopening, 0, first)


def _asked_back(line: Line) -> bool:
    """"The burn, what was it, five?", "the burn, was that a six?": the speaker asks what he gave."""
    return any(
        (line.text(i) in _AUXILIARIES and line.text(i + 1) in _ASKED)
        or (line.text(i) == "what" and line.text(i + 1) in ("was", "did"))
        for i in range(1, len(line.tokens)) if line.tokens[i].breaks
    )
