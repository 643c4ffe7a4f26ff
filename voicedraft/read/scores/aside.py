"""Rule: whether a turn that would tell or change a mark is denied, supposed, another's, or about something else."""

from __future__ import annotations

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.candidates import spans
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
    "percent",
})
_MEASURES = frozenset({
    "years", "months", "weeks", "minutes", "hours", "hour", "inch", "inches", "millimetres", "o'clock", "quarter",
})
"""These may be why a mark moves ("tightened over the last inch, so…") where the sentence names its aspect."""
_EVENTS = frozenset({
    "relight", "relights", "relit", "touch-up", "touch-ups", "touchup", "touchups", "smoked", "left", "correction",
    "corrections", "puff", "puffs", "match", "matches",
})
"""What is counted while smoking: these may be why a mark moves, but they are not what moves."""
_PEOPLE = frozenset({"folk", "folks", "some", "judges", "reviewers"})
_TIMES = frozenset({"last", "yesterday", "yesterday's", "previous", "start", "year", "batch", "time", "review"})
_OPEN = frozenset({"verdict", "palate", "burn", "appearance", "value", "aside"})


def set_aside(line: Line, first: int, end: int, words: Words, changes: bool = False) -> bool:
    """Whether tokens `[first, end)` tell no mark of this cigar by this speaker.

    They are denied, wished or supposed; somebody else's or another cigar's; of prices, counts, times and measures; or
    said among flavours without a word of scoring. changes: the tokens change a mark, so that "on the last one" may be
    the last mark.
    """
    at, returns = Number(0.0, first, first + 1), _back(line, first)
    start, stop = line.clause_range(line.clause[first])
    before = [line.text(i) for i in range(start, first)]
    if not _DENYING.isdisjoint(before) or _supposes(line, start, first, words):
        return True
    if _by_people(line, start, first, words) or _withdrawn(line, end):
        return True
    if _conditional(line, first) and not returns:
        return True
    after = [line.text(i) for i in range(end, min(stop + 4, len(line.tokens)))]
    refused = "but" in after and not _DENYING.isdisjoint(after)
    if refused or not _OTHER_THINGS.isdisjoint(line.texts) or _measures(line, first, words) or _then(line, end):
        return True
    if line.section not in _OPEN and not line.noun(words):
        return True
    if line.text(start) in ("so", "but") and not line.find(words.cigars, start, first):
        return of_another_speaker(line, at, words)
    cigar = other_cigar_before(line, first, words) and not (
        changes and (mark_called(line, "last") or mark_called(line, "other"))
    )
    return of_another_speaker(line, at, words) or cigar


def mark_called(line: Line, which: str) -> bool:
    """"On the last one put half a point back", "that last mark, make it four": a mark is called so, not a cigar.

    which: "last", or "other" for the one before ("put another half on the other one")."""
    if not _PAST_TIMES.isdisjoint(line.texts):
        return False
    return any(
        line.text(i) == which and line.text(i + 1) in ("one", "mark", "score", "number") and (
            line.text(i - 1) == "that" or (line.text(i - 1) == "the" and line.text(i - 2) in ("on", "to", "for"))
        ) and line.text(i + 2) != "the" for i in range(1, len(line.tokens))
    )


def _conditional(line: Line, first: int) -> bool:
    """Whether the sentence makes a condition, or the tokens are what is asked.

    "I said I'd tell you if it changed" makes none, "he asked if I'd make it an eight" asks."""
    opens = any(line.text(i) in _CONDITIONS and (i == 0 or line.tokens[i].breaks) for i in range(first))
    asked = [i for i, text in enumerate(line.texts) if text == "if"]
    inside = any(i < first and line.clause[i] == line.clause[first] for i in asked)
    return opens or inside or any(_ASKING.isdisjoint(line.texts[max(i - 3, 0) : i]) for i in asked)


_PAST_TIMES = frozenset({"week", "month", "year", "night", "yesterday", "summer", "winter", "spring", "autumn"})
"""With these "the last one" is a cigar of then."""
_ASKING = frozenset({
    "tell", "told", "say", "said", "see", "ask", "asked", "asks", "know", "wonder", "wondered", "sure", "check",
    "checked",
})
"""After these "if" asks whether."""


def _by_people(line: Line, start: int, first: int, words: Words) -> bool:
    """"Some people take two points off", "he usually knocks one off": the subject right before the turn is another."""
    i = first - 1
    while i > start and line.pos[i] in ("ADV", "AUX", "VERB"):
        i -= 1
    return i >= start and (line.text(i) in words.speakers or line.text(i) in _PEOPLE)


def _withdrawn(line: Line, end: int) -> bool:
    """"Take a point off, no, that's silly": a no right after the turn, and no number that goes in its place."""
    _, stop = line.clause_range(line.clause[end - 1])
    return line.text(stop) in ("no", "nah", "nope") and not any(n.first >= stop for n in line.numbers)


def _measures(line: Line, first: int, words: Words) -> bool:
    """Whether times and lengths are spoken of: anywhere, or in the turn's clause where an aspect is named before it."""
    named = any(b <= first for _, b in spans(line, words))
    start, stop = line.clause_range(line.clause[first]) if named else (0, len(line.tokens))
    return not _MEASURES.isdisjoint(line.texts[start:stop])


def counts_events(line: Line, first: int) -> bool:
    """"One relight, make that two": the number before the turn at token `first`, or the turn's, counts no marks."""
    start, stop = line.clause_range(line.clause[first])
    if any(line.text(i) in _EVENTS for i in range(start, stop)):
        return True
    announced = line.text(1) in ("correction", "corrections") and line.clause_range(line.clause[1])[1] == _ANNOUNCED
    before = [n for n in line.numbers if n.last <= first and not (announced and n.first == 0)]
    return bool(before) and any(line.text(i) in _EVENTS for i in (before[-1].last, before[-1].last + 1))


_ANNOUNCED = 2
"""Tokens of "one correction, …", which counts no mends of the burn but announces a change."""


def _supposes(line: Line, start: int, first: int, words: Words) -> bool:
    """"I could knock one off", "it would be two below"; "I'd put it two below" gives."""
    for i in range(start, first):
        if line.text(i) in _MODAL and not _granted(line, start, i, words):
            following = [line.text(j) for j in range(i + 1, min(i + 3, first + 1))]
            if following[:1] == ["have"] and line.tags[i + 2] == "VBN":
                return True
            own = line.text(i) == "i'd" or line.text(i - 1) in ("i", "we")
            gives = not (_GIVING | words.placing).isdisjoint(following)
            if not (line.text(i) in _WOULD and own and gives):
                return True
    return False


def _granted(line: Line, start: int, i: int, words: Words) -> bool:
    """"The 17 can go up by one", "so that can come down a half", "the burn can have the same": the mark itself may
    move."""
    told = line.text(i - 1) in ("that", "it") and line.text(start) == "so"
    stated = any(n.last == i and line.text(n.first - 1) in ("the", "that", "my") for n in line.numbers)
    named = any(b == i for _, b in spans(line, words)) and line.text(i + 1) in ("have", "get", "share", "go")
    return line.text(i) in ("can", "may") and (told or stated or named)


def _back(line: Line, first: int) -> bool:
    """Whether "but" or "so" brings the speaker back from a condition before token `first`."""
    return any(line.text(i) in ("but", "so", "anyway") for i in range(1, first))


def _then(line: Line, end: int) -> bool:
    """"up one on the last time", "down a point from my last review": measured against another smoke."""
    near = [line.text(i) for i in range(end, min(end + 6, len(line.tokens)))]
    return any(w in ("on", "from", "than") and not _TIMES.isdisjoint(near[k : k + 4]) for k, w in enumerate(near))
