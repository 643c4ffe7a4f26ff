"""Guesses: "I guess the wrapper is Cameroon", "probably five inches", "a 50 ring gauge, maybe".

A hedge governs the value of its own clause, before it or at the clause's end, and a value right before it where the
hedge is all that the next clause says. Guesses are marked, never stated; a plain statement elsewhere outweighs them.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session

_JOINTS = frozenset({"and", "but", "so", "because", "which", "while", "whereas", "though", "although", "since", "then"})
_COUNTED = frozenset({"touch_ups", "relights"})
"""Counts over the session; where the last act was told by a sentence as a whole, a hedge in a later clause is of
something else: "I went round it with the torch, and I suppose the leaf had dried by then"."""
_BEHIND = 3
"""Small words before a hedge that is a clause of its own: "but that's only a guess"."""


def hedged(session: Session, claim: Claim) -> Claim:
    """The claim, marked as a guess where the words of its clause say so."""
    if claim.guessed or claim.other:
        return claim
    line = session.lines[claim.line]
    words = [t.word for t in line.tokens]
    first, last = bisect_left(words, claim.first), bisect_left(words, claim.last)
    if claim.name in _COUNTED and (first, last) == (0, len(line.tokens)):
        last = line.clause(0)[1]
    return replace(claim, guessed=True) if first < last and uncertain(line, first, last) else claim


def is_guess(line: Line, first: int, last: int) -> bool:
    """Whether the value at tokens `[first, last)` is only guessed, and nothing after it in the sentence settles it."""
    if line.has("leaf.settled", last) or _said_plainly(line, first, last):
        return False
    start = _start(line, first)
    before = any(not _plain(line, h.first, h.last) for h in line.find("hedge.before", start, last))
    return before or _alone(line, start) or _closing(line, last)


def uncertain(line: Line, first: int, last: int) -> bool:
    """Whether the value is only guessed, also beside another ("or it's Nicaraguan") or where it gives way to a guess;
    not where the doubt is lifted right after. `is_guess` is the narrower sign that the learned weights know."""
    if affirmed(line, first, last):
        return False
    settled = line.has("leaf.settled", last) or _said_plainly(line, first, last)
    doubted = _alternative(line, _start(line, first)) or _gives_way(line, last)
    return (doubted and not settled) or is_guess(line, first, last)


def affirmed(line: Line, first: int, last: int) -> bool:
    """Whether the value's last word is said again, alone, after the doubt is lifted: "I think Jamastrán, he did,
    Jamastrán"."""
    word = line.tokens[last - 1].text
    for i in range(first + 1, len(line.tokens)):
        start, end = line.clause(i)
        alone = line.tokens[i].text == word and {t.text for t in line.tokens[start:end]} <= {word, "a", "an", "the"}
        if alone and start > 0:
            before, _ = line.clause(start - 1)
            words = [t.text for t in line.tokens[before:start]]
            if words == ["yes"] or (2 <= len(words) <= 3 and words[0] in _WHO and words[-1] in _DOES):
                return True
    return False


_WHO = frozenset({"he", "she", "they", "it", "that", "yes"})
_DOES = frozenset({"did", "does", "do", "is", "was", "'s", "are", "were", "has"})


def _alternative(line: Line, start: int) -> bool:
    """"It could be Honduran, or it's Nicaraguan": the clause that "or" opens is as unsure as the one before."""
    if start == 0 or line.tokens[start].text != "or" or line.tokens[start].stops:
        return False
    first = _start(line, start - 1)
    return any(not _plain(line, h.first, h.last) for h in line.find("hedge.before", first, start))


def _gives_way(line: Line, last: int) -> bool:
    """"Honduran, no, it could be Nicaraguan": taken back for what is itself only a guess."""
    if last >= len(line.tokens) or not line.tokens[last].breaks or not line.corrected(
        last, min(len(line.tokens), last + 2), strict=True
    ):
        return False
    if {t.text for t in line.tokens[last + 1 : last + 2]} & _SURE:
        return False
    return any(h.first - last <= _BEHIND for h in line.find("hedge.before", last, min(len(line.tokens), last + 6)))


_SURE = frozenset({"doubt", "wonder", "question", "surprise", "less", "matter", "mistake", "denying", "problem"})
"""After "no" these take nothing back: "Ecuadorian, no doubt, it could be nothing else"."""


def _said_plainly(line: Line, first: int, last: int) -> bool:
    """The value is said again after a correction: "maybe four, no, it's four"."""
    value = [t.text for t in line.tokens[first:last]]
    for i in range(last + 1, len(line.tokens) - len(value) + 1):
        if [t.text for t in line.tokens[i : i + len(value)]] == value and line.corrected(last, i):
            return not line.has("hedge.before", _start(line, i), i)
    return False


def _start(line: Line, first: int) -> int:
    """Where the clause of token `first` begins."""
    i = first
    while i > 0 and not line.tokens[i].breaks and line.tokens[i - 1].text not in _JOINTS:
        i -= 1
    return i


def _ends(line: Line, i: int) -> bool:
    return i >= len(line.tokens) or line.tokens[i].breaks or line.tokens[i].text in _JOINTS


def _plain(line: Line, first: int, last: int) -> bool:
    """No hedge after all: "no guess", "without guessing", "as you might expect"."""
    after = line.tokens[last].text if last < len(line.tokens) else ""
    without = first > 0 and line.tokens[first - 1].text == "without"
    return without or line.denied(first, 2) or after in ("expect", "imagine", "know", "remember", "recall", "add")


def _alone(line: Line, start: int) -> bool:
    """The clause before is the hedge and nothing else: "maybe, fifty"."""
    if start == 0 or not line.tokens[start].breaks or line.tokens[start].stops:
        return False
    first = _start(line, start - 1)
    return any(h.first - first <= 1 and h.last == start for h in line.find("hedge.before", first, start))


def _closing(line: Line, last: int) -> bool:
    """A hedge that closes the value's clause, or is all that the next clause says."""
    end = last
    while not _ends(line, end):
        end += 1
    hedges = [h for h in line.find("hedge.after", last) if not line.denied(h.first, 2) and _ends(line, h.last)]
    within = any(h.last <= end for h in hedges)
    if end >= len(line.tokens) or line.tokens[end].stops or end - last > _BEHIND:
        return within
    return within or any(0 <= h.first - end <= _BEHIND and _one_clause(line, end, h.first) for h in hedges)


def _one_clause(line: Line, first: int, last: int) -> bool:
    return not any(t.breaks for t in line.tokens[first + 1 : last + 1])
