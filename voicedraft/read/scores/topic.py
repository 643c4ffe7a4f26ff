"""Rule: which aspect a sentence is about where it names several: the one that a reopening turn takes up again ("I
reconsidered the burn, the ash being what it is, so …"), or the one set off at its head ("the burn, I'd have said four,
only that ash went soft, so three and a half")."""

from __future__ import annotations

from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.line import Line, Words

_LEADS = frozenset({"the", "my", "that", "its", "for", "on", "as", "to", "and", "now", "but", "about", "with", "well"})
_REACH = 3
"""Tokens between a reopening turn and the aspect that it takes up; our own choice, no outside source."""
_SAYING = frozenset({"VERB", "AUX"})
_REASONS = frozenset({"only", "but", "because", "since", "though", "although", "with", "seeing"})


def topic(line: Line, words: Words) -> str | None:
    """The aspect that the sentence is about, None where grammar does not tell."""
    named = spans(line, words)
    taken_up = reopened(line, words)
    if taken_up is not None:
        return taken_up
    if len(named) < 2 or not set(line.texts[: named[0][0]]) <= _LEADS:
        return None
    last = named[0][1]
    set_off = last < len(line.tokens) and line.tokens[last].breaks
    return called(line, named[0], words) if set_off and all(_in_passing(line, s) for s in named[1:]) else None


def reopened(line: Line, words: Words) -> str | None:
    """"I have reconsidered the burn", "thinking again about the draw": the aspect taken up again."""
    for _, end in line.find(words.reopening):
        for span in spans(line, words):
            between = line.texts[end : span[0]]
            if 0 <= span[0] - end <= _REACH and set(between) <= _LEADS and all(
                line.joined(i) for i in range(end, span[0] + 1)
            ):
                return called(line, span, words)
    return None


def _in_passing(line: Line, span: tuple[int, int]) -> bool:
    """Whether the clause of the aspect tells something of it and gives no number: "only that ash went soft"."""
    first, last = line.clause_range(line.clause[span[0]])
    told = line.text(first) in _REASONS or any(
        line.pos[i] in _SAYING for i in range(first, last) if not span[0] <= i < span[1]
    )
    return told and not any(first <= n.first < last for n in line.numbers)
