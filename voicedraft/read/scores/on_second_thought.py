"""Rule: a sentence that opens with a turn of correction right after a mark, and calls one other number, changes that
mark: "All in, 89." "No, you know what, that last third, call it a 90."

It names no aspect, or only a third of the smoke, which is then why: where thirds are marked, it is not read so.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.comparison import counts_things
from voicedraft.read.scores.line import Line, Phrases, Words
from voicedraft.read.scores.steps import LAST, Change

_OPENING = 4
"""Tokens in which the turn of correction stands; our own choice, no outside source."""
_CALLS = Phrases.of((
    "call it", "call that", "make it", "make that", "let's say", "let's call it", "i'll say", "i'll go", "go with",
    "i'll make it", "i'll call it", "say",
))
THIRDS = frozenset({"first third", "second third", "final third"})
_WHOSE = frozenset({"my", "his", "her", "our", "their", "the"})
_SMALL = frozenset({"a", "an", "the", "even", "straight"})


def second_thoughts(rows: Sequence[Line], line: Line, words: Words) -> list[Change]:
    """The change that the sentence makes of the mark given in the sentence before it."""
    opens = any(a < _OPENING for a, _ in line.find(words.correction, 0, _OPENING + 1))
    counted = [n for n in line.numbers if not n.ordinal]
    if not line.index or line.section != "verdict" or len(counted) != 1 or not opens:
        return []
    number, before = counted[0], rows[line.index - 1]
    given = [n for n in before.numbers if not n.ordinal and not counts_things(before, n.last, words)]
    named = {called(line, s, words) for s in spans(line, words)}
    marked = any(called(row, s, words) in THIRDS for row in rows if row is not line and row.section == "verdict"
                 for s in spans(row, words))
    others = any(a in _WHOSE and b in words.speakers for a, b in pairwise(line.texts[: number.first]))
    if others or "if" in line.texts:
        return []
    if number.value < 1 or not given or counts_things(line, number.last, words):
        return []
    if not named or not named <= THIRDS or marked:
        return []
    i = number.first
    while line.text(i - 1) in _SMALL and line.joined(i):
        i -= 1
    turn = next((a for a, b in line.find(_CALLS) if b == i and line.joined(i)), None)
    return [] if turn is None else [Change(turn, number.last, number.value, at=number.first, aim=LAST, firm=True)]
