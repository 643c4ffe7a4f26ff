"""Acts taken as known where they are told: "straight ever since we fixed it", "right before it went out".

A clause under "since" or "before" supposes what it tells, and so does "after that relight"; in the verdict every act is
looked back on. Such an act is counted only where none was told before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voicedraft.read.facts.acts import relights
from voicedraft.read.facts.context import Line
from voicedraft.read.facts.small_words import SUBJECTS
from voicedraft.read.facts.tally import Told

_LINKS = frozenset({"since", "before"})
"""Words that open a clause whose act is supposed, not told."""
_BEHIND = frozenset({"since", "before", "after", "from", "until", "till", "following"})
"""Words before a definite noun that is looked back on: "after that relight"."""
_DEFINITE = frozenset({"the", "that", "this", "those", "these", "my", "its", "both"})
_ANEW = frozenset({"another", "second", "third", "fourth", "more", "twice"})
"""Words that make it a further act all the same: "before it went out a second time"."""
_REACH = 6
"""Tokens between the word that opens the clause and its act; our own choice, no outside source."""


def looked_back_on(line: Line, told: Sequence[Told]) -> list[Told]:
    """The same, with acts that are only recalled marked "recalled"."""
    return [
        replace(t, kind="recalled")
        if t.kind in ("more", "out") and (line.section == "verdict" or all(recalls(line, i) for i in _acts(line, t)))
        else t
        for t in told
    ]


def _acts(line: Line, told: Told) -> list[int]:
    """The token of the act; where only the sentence as a whole was judged, those of the words that name one."""
    if told.first > 0 or told.last < len(line.tokens):
        return [told.first]
    nouns = [h.first for path in ("touch_up.noun", "relight.noun") for h in line.find(path)]
    gone = [h.first for h in line.find("relight.out")] if told.kind == "out" else []
    return nouns or gone or [told.first]


def recalls(line: Line, first: int) -> bool:
    """Whether the act at token `first` is only looked back on: "for three pulls after the match"."""
    start, end = line.clause(first)
    if any(t.text in _ANEW for t in line.tokens[start:end]):
        return False
    for i in range(max(start, first - _REACH), first):
        word, after = line.tokens[i].text, line.tokens[i + 1].text
        if word in _BEHIND and after in _DEFINITE and first - i <= _NEAR and not _verb_between(line, i + 1, first):
            return True
        if _asked_why(line, i, start) and _subject(line, i + 1, first):
            return True
        if word in _LINKS and not _causal(line, i, start) and _subject(line, i + 1, first):
            return True
    return False


_NEAR = 3
_OPENS = SUBJECTS | {"you", "that"}


def _asked_why(line: Line, i: int, start: int) -> bool:
    """"I'll tell you why it went out", "that it died so early, I blame the pace": taken as known, and spoken about.

    Not where its lighting again is told with it: "look how it went out, so I lit it again".
    """
    word, lit = line.tokens[i].text, bool(relights(line) or line.has("relight.noun"))
    if lit or (word == "how" and line.tokens[i - 1].text not in _TOLD):
        return False
    return word in ("why", "how") or (word == "that" and i == start and line.clause(i)[1] < len(line.tokens))


_TOLD = frozenset({"tell", "told", "know", "explain", "explains", "you", "me", "about", "of"})


def _subject(line: Line, first: int, last: int) -> bool:
    """"since we", "right before it": a clause of its own with its subject."""
    return first < last and line.tokens[first].text in _OPENS


def _causal(line: Line, i: int, start: int) -> bool:
    """"Since it ran off, I touched it up": a "since" that opens the sentence gives a reason."""
    return i == start == 0 and line.tokens[i].text == "since"


def _verb_between(line: Line, first: int, last: int) -> bool:
    return any(t.text in ("to", "had", "is", "was") for t in line.tokens[first:last])
