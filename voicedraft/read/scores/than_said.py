"""Rule: a mark told by what the speaker said of it before: "it's half a point better than I said", "two marks worse
than I promised". No aspect named, the mark of the whole cigar is meant."""

from __future__ import annotations

from voicedraft.read.scores.aspect import OVERALL
from voicedraft.read.scores.candidates import spans
from voicedraft.read.scores.comparison import turns
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.steps import Change

_SAID = frozenset({
    "said", "told", "promised", "gave", "guessed", "reckoned", "put", "announced", "forecast", "predicted", "wrote",
    "marked", "scored",
})
_LEADS = frozenset({"what", "than", "from", "on"})
_NAMING_IT = frozenset({
    "it", "him", "her", "this", "that", "you", "i", "would", "'d", "be", "was", "before", "earlier", "at", "first",
    "start", "the", "to", "begin", "with", "up", "front", "just", "now", "out", "loud", "then", "and", "so",
})
"""What may follow the saying: "than I said it was at first"; "than I said of the other" is no mark of this."""
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
            aim = "" if spans(line, words) else OVERALL
            out.append(Change(turn.first, turn.end, None, turn.by, aim=aim))
    return out


def _i_said(line: Line, end: int) -> bool:
    """"… I said", "… what I told you" from token `end` on."""
    near = [line.text(i) for i in range(end, min(end + _NEAR, len(line.tokens)))]
    first = next((k for k, w in enumerate(near) if w in ("i", "i'd", "i've")), None)
    if first is None or not set(near[:first]) <= _LEADS:
        return False
    said = next((end + k for k in range(first + 1, min(first + 3, len(near))) if near[k] in _SAID), None)
    return said is not None and set(line.texts[said + 1 : line.clause_range(line.clause[said])[1]]) <= _NAMING_IT
