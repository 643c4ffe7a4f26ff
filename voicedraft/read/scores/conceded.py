"""Rule: a number that is all a sentence says, given way to after somebody's objection or a second thought, is the mark
given last set anew: "Burn, four." … "Five, then.", "All right, an eight.", "Oh, go on, three and a half."."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.scores.candidates import spans
from voicedraft.read.scores.comparison import counts_things
from voicedraft.read.scores.line import Line, Phrases, Words
from voicedraft.read.scores.steps import LAST, Change

_BACK = 2
"""Sentences back to the mark, none between that names an aspect or tells a number; our own choice."""
_OBJECTS_TO = frozenset({
    "that", "that's", "me", "disagrees", "harsh", "rough", "hard", "mean", "generous", "fair",
    "unfair", "kind", "unkind", "high", "low", "stingy", "strict",
})
"""One of these is said in what objects to a mark; "the dog wants biscuits" is about something else."""
_ASKING = frozenset({
    "what", "what's", "how", "when", "where", "who", "who's", "anybody", "anyone", "do", "does", "is", "are",
})
"""A remark that opens with one of these asks, and the number answers it."""
_SMALL = frozenset({
    "then", "alright", "okay", "ok", "fine", "well", "all", "right", "go", "on", "oh", "ah", "ach", "aye", "a", "an",
    "so", "have", "it", "your", "yes", "you", "win", "and",
})
_SURELY = Phrases.of(("then", "go on", "all right", "alright", "you win", "fine", "have it"))


def conceded(rows: Sequence[Line], line: Line, words: Words) -> list[Change]:
    """The change that the sentence makes, if it is only a number and a word of giving way, after a remark on a mark."""
    if line.section not in ("verdict", "aside") or len(line.numbers) != 1 or line.index < _BACK:
        return []
    number, before = line.numbers[0], rows[line.index - 1]
    rest = [line.text(i) for i in range(len(line.tokens)) if not number.first <= i < number.last]
    if number.ordinal or not set(rest) <= _SMALL or not line.find(_SURELY):
        return []
    told = [n for n in before.numbers if n.value != 1 and not counts_things(before, n.last, words)]
    remark = not told and not spans(before, words) and not _OBJECTS_TO.isdisjoint(before.texts)
    remark = remark and before.text(0) not in _ASKING
    marked = bool(rows[line.index - _BACK].numbers)
    return [Change(0, number.last, number.value, at=number.first, aim=LAST)] if remark and marked else []
