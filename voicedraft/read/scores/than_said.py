"""Rule: a mark told by what the speaker said of it before: "it's half a point better than I said", "two marks worse
than I promised". No aspect named, the mark of the whole cigar is meant."""

from __future__ import annotations

from voicedraft.read.scores.aspect import OVERALL
from voicedraft.read.scores.comparison import turns
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.steps import Change

_SAID = frozenset({
    "said", "told", "promised", "gave", "guessed", "reckoned", "put", "announced", "forecast", "predicted", "wrote",
    "marked", "scored",
})
_LEADS = frozenset({"what", "than", "from", "on"})
_NEAR = 4
"""Tokens from the turn to "I" and the verb of saying; our own choice, no outside source."""


def than_said(line: Line, words: Words) -> list[Change]:
    """Every such change; none where the sentence says the outcome itself ("he's an 88, two up on what I said")."""
    out = []
    for turn in turns(line, words):
        told = line.texts[turn.first : turn.end]
        amount = not words.units.isdisjoint(told) or "half" in told
        stated = any(n.last <= turn.first or n.first >= turn.end for n in line.numbers if not n.ordinal)
        if turn.by and amount and not stated and _i_said(line, turn.end):
            out.append(Change(turn.first, turn.end, None, turn.by, aim=OVERALL))
    return out


def _i_said(line: Line, end: int) -> bool:
    """"… I said", "… what I told you" from token `end` on."""
    near = [line.text(i) for i in range(end, min(end + _NEAR, len(line.tokens)))]
    first = next((k for k, w in enumerate(near) if w in ("i", "i'd", "i've")), None)
    return first is not None and set(near[:first]) <= _LEADS and not _SAID.isdisjoint(near[first + 1 : first + 3])
