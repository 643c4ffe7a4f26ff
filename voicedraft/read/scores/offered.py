"""Rule: a mark offered in a question and taken in the answer by its number: "do you want to go to your sixteen?" and
"I do, sixteen for the draw, done". What is offered is no mark itself, whether the answer takes it or not."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.comparison import counts_things
from voicedraft.read.scores.line import Line, Phrases, Words
from voicedraft.read.scores.steps import LAST, Change

_ASKING = frozenset({"do", "shall", "will", "would", "can", "should", "could", "want"})
_ASKED = frozenset({"you", "we", "i"})
_YES = Phrases.of((
    "i do", "i will", "i would", "yes", "aye", "yeah", "yep", "go on", "all right", "alright", "okay", "ok", "sure",
    "let's", "done", "fine", "we shall", "we will", "please",
))
_NO = Phrases.of(("no", "nah", "nope", "never", "not", "i don't", "i won't", "i wouldn't"))
_OPENING = 3
"""Tokens in which the answer says yes or no; our own choice, no outside source."""
_GIVING = frozenset({"go", "say", "make", "call", "give", "put", "settle", "have", "raise", "lower", "drop", "move"})
_IT = frozenset({"it", "that", "this"})


def taken_offers(rows: Sequence[Line], line: Line, words: Words) -> list[Change]:
    """The change that the answer makes, where it says yes and the number that the question before it offered."""
    counted = [n for n in line.numbers if not n.ordinal]
    if not line.index or len(counted) != 1 or not _opens(line, _YES):
        return []
    number, before = counted[0], rows[line.index - 1]
    offered = _offer(before, words)
    if offered is None or offered.value != number.value or not _ends(line, number.last, words):
        return []
    asked = {called(before, s, words) for s in spans(before, words)}
    aim = "" if spans(line, words) else asked.pop() if len(asked) == 1 else LAST
    return [Change(number.first, number.last, number.value, at=number.first, aim=aim, firm=True)]


def only_offered(rows: Sequence[Line], words: Words) -> frozenset[tuple[int, int]]:
    """Sentence and first token of the numbers that a question offers and the next sentence says yes or no to, and of
    the mark that a no says again ("shall we make it nine?", "no, eight is plenty")."""
    out: set[tuple[int, int]] = set()
    for line, answer in pairwise(rows):
        offered = _offer(line, words) if line.numbers and (_opens(answer, _YES) or _opens(answer, _NO)) else None
        if offered is not None:
            out.add((line.index, offered.first))
            out.update((answer.index, n.first) for n in _said_again(rows, line, answer, words))
    return frozenset(out)


def _said_again(rows: Sequence[Line], line: Line, answer: Line, words: Words) -> list[Number]:
    """The numbers of a no that were said right before the question, where the no names no aspect."""
    at = next((k for k, row in enumerate(rows) if row is line), 0)
    if not at or spans(answer, words) or not _opens(answer, _NO):
        return []
    said = {n.value for n in rows[at - 1].numbers}
    return [n for n in answer.numbers if n.value in said]


def _opens(line: Line, forms: Phrases) -> bool:
    return any(a < _OPENING for a, _ in line.find(forms, 0, _OPENING + 1))


def _offer(line: Line, words: Words) -> Number | None:
    """The one number that the sentence offers: "will you give the draw a four?"."""
    counted = [n for n in line.numbers if not n.ordinal]
    if len(counted) != 1 or counted[0].value < 1 or not _ends(line, counted[0].last, words):
        return None
    start, _ = line.clause_range(line.clause[counted[0].first])
    told = line.texts[start : counted[0].first]
    turned = any(a in _ASKING and b in _ASKED for a, b in pairwise(told)) and not _GIVING.isdisjoint(told)
    return counted[0] if turned and ("give", "me") not in pairwise(told) else None


def _ends(line: Line, last: int, words: Words) -> bool:
    """Whether the number before token `last` ends its clause, or what it is for is an aspect."""
    if line.text(last) in words.units and line.joined(last):
        last += 1
    if last >= len(line.tokens) or line.tokens[last].breaks or line.text(last) in ("then", "done"):
        return True
    named = any(last < a <= last + 2 for a, _ in spans(line, words))
    return line.text(last) in ("for", "on") and (named or line.text(last + 1) in _IT) and not counts_things(
        line, last, words
    )
