"""Rule: whether a turn that would tell or change a mark is denied, supposed, another's, or about something else."""

from __future__ import annotations

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.whose import of_another_speaker, other_cigar_before

_DENYING = frozenset({
    "n't", "not", "never", "hardly", "nobody", "nowhere", "won't", "wouldn't", "can't", "couldn't", "don't", "didn't",
    "isn't", "wasn't", "cannot", "neither", "nor",
})
_WOULD = frozenset({"would", "'d", "i'd"})
_MODAL = _WOULD | {"could", "might", "should", "can", "may", "tempted", "wanted", "thinking", "nearly", "almost"}
_GIVING = frozenset({
    "put", "give", "go", "say", "call", "mark", "make", "score", "rate", "place", "have", "like", "set", "knock",
    "bump",
})
_CONDITIONS = frozenset({"if", "unless", "had", "were", "should", "with"})
_OTHER_THINGS = frozenset({
    "dollar", "dollars", "pound", "pounds", "euro", "euros", "quid", "bucks", "cents", "pence", "£", "$", "€", "price",
    "prices", "priced", "paid", "pay", "cost", "costs", "box", "boxes", "postage", "humidor", "temperature", "degrees",
    "percent", "relight", "relights", "relit", "touch-up", "touch-ups", "touchup", "touchups", "smoked", "left",
    "minutes", "hours", "hour", "inch", "inches", "millimetres", "o'clock", "quarter",
})
_TIMES = frozenset({"last", "yesterday", "yesterday's", "previous", "start", "year", "batch", "time", "review"})
_OPEN = frozenset({"verdict", "palate", "burn", "appearance", "value", "aside"})


def set_aside(line: Line, first: int, end: int, words: Words) -> bool:
    """Whether tokens `[first, end)` tell no mark of this cigar by this speaker.

    They are denied, wished or supposed; somebody else's or another cigar's; of prices, counts, times and measures; or
    said among flavours without a word of scoring.
    """
    at, returns = Number(0.0, first, first + 1), _back(line, first)
    start, stop = line.clause_range(line.clause[first])
    before = [line.text(i) for i in range(start, first)]
    if not _DENYING.isdisjoint(before) or _supposes(line, start, first):
        return True
    opens = any(line.text(i) in _CONDITIONS and (i == 0 or line.tokens[i].breaks) for i in range(first))
    if (opens or "if" in line.texts) and not returns:
        return True
    after = [line.text(i) for i in range(end, min(stop + 4, len(line.tokens)))]
    refused = "but" in after and not _DENYING.isdisjoint(after)
    if refused or not _OTHER_THINGS.isdisjoint(line.texts) or _then(line, end):
        return True
    if line.section not in _OPEN and not line.noun(words):
        return True
    return of_another_speaker(line, at, words) or other_cigar_before(line, first, words)


def _supposes(line: Line, start: int, first: int) -> bool:
    """"I could knock one off", "it would be two below"; "I'd put it two below" gives."""
    for i in range(start, first):
        if line.text(i) in _MODAL:
            following = [line.text(j) for j in range(i + 1, min(i + 3, first + 1))]
            own = line.text(i) == "i'd" or line.text(i - 1) in ("i", "we")
            if not (line.text(i) in _WOULD and own and not _GIVING.isdisjoint(following)):
                return True
    return False


def _back(line: Line, first: int) -> bool:
    """Whether "but" or "so" brings the speaker back from a condition before token `first`."""
    return any(line.text(i) in ("but", "so", "anyway") for i in range(1, first))


def _then(line: Line, end: int) -> bool:
    """"up one on the last time", "down a point from my last review": measured against another smoke."""
    near = [line.text(i) for i in range(end, min(end + 6, len(line.tokens)))]
    return any(w in ("on", "from", "than") and not _TIMES.isdisjoint(near[k : k + 4]) for k, w in enumerate(near))
