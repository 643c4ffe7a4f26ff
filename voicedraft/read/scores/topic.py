"""Rule: which aspect a sentence is about where it names several: the one that a reopening turn takes up again ("I
reconsidered the burn, the ash being what it is, so …"), or the one set off at its head ("the burn, I'd have said four,
only that ash went soft, so three and a half")."""

from __future__ import annotations

from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.line import Line, Phrases, Words

_LEADS = frozenset({"the", "my", "that", "its", "for", "on", "as", "to", "and", "now", "but", "about", "with", "well"})
_REACH = 3
"""Tokens between a reopening turn and the aspect that it takes up; our own choice, no outside source."""
_SAYING = frozenset({"VERB", "AUX"})
_TOLD = frozenset({
    "only", "but", "because", "since", "though", "although", "with", "seeing", "unlike", "despite", "which", "given",
    "like", "as",
})
REASONS = Phrases.of((
    "on account of", "because of", "thanks to", "owing to", "due to", "in view of", "in spite of", "despite", "given",
    "on the strength of", "by reason of", "for want of",
))
"""What leads to an aspect that only tells why another one got its mark."""
_DENYING = frozenset({"not", "no", "never", "won't", "don't", "can't", "n't", "if", "may", "might", "could", "without"})


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
    listed = any(last <= n.first < named[-1][0] and not _said(line, n.first) for n in line.numbers if not n.ordinal)
    set_off = set_off and not listed
    return called(line, named[0], words) if set_off and all(_in_passing(line, s) for s in named[1:]) else None


def reopened(line: Line, words: Words) -> str | None:
    """"I have reconsidered the burn", "thinking again about the draw": the aspect taken up again."""
    for first, end in line.find(words.reopening):
        if not _by_the_speaker(line, first):
            continue
        for span in spans(line, words):
            between = line.texts[end : span[0]]
            if 0 <= span[0] - end <= _REACH and set(between) <= _LEADS and all(
                line.joined(i) for i in range(end, span[0] + 1)
            ):
                return called(line, span, words)
    return None


def reopened_by_others(line: Line, words: Words) -> bool:
    """"My friend reconsidered the burn and made it a five", "I won't revisit the burn": nothing changes."""
    turns = line.find(words.reopening)
    return bool(turns) and not any(_by_the_speaker(line, first) for first, _ in turns)


def _by_the_speaker(line: Line, first: int) -> bool:
    """Whether the clause before token `first` names nobody but the speaker and denies nothing: "my friend
    reconsidered the burn" and "no need to revisit the burn" do."""
    start, _ = line.clause_range(line.clause[first])
    if not _DENYING.isdisjoint(line.texts[start:first]):
        return False
    subjects = [i for i in range(start, first) if line.pos[i] in ("NOUN", "PROPN") or line.text(i) in _PEOPLE]
    return not subjects or not _I.isdisjoint(line.texts[subjects[-1] : first])


_I = frozenset({"i", "i'm", "i've", "i'd", "i'll", "we", "me", "let"})
_PEOPLE = frozenset({"he", "she", "they", "you", "who"})


def headed(line: Line, words: Words) -> bool:
    """"Hold on, about that burn, …": a turn of correction, and an aspect that is all its clause says."""
    for span in spans(line, words):
        first, last = line.clause_range(line.clause[span[0]])
        lead = set(line.texts[first : span[0]]) <= _LEADS and last == span[1] < len(line.tokens)
        if first and lead and any(b <= first for _, b in line.find(words.correction, 0, first)):
            return not any(n.first < first for n in line.numbers)
    return False


def passed_by(line: Line, words: Words) -> set[str]:
    """The aspects only told of in passing, where another one set off at the head is what the sentence is about."""
    about = topic(line, words) if reopened(line, words) is None else None
    return set() if about is None else {called(line, s, words) for s in spans(line, words)} - {about}


def _said(line: Line, at: int) -> bool:
    """"I'd have said four" tells of a number; "the draw, a seven and a half, the burn …" gives one, as lists do."""
    first, last = line.clause_range(line.clause[at])
    return any(line.pos[i] in _SAYING for i in range(first, last))


def _in_passing(line: Line, span: tuple[int, int]) -> bool:
    """Whether the clause of the aspect tells something of it and gives no number: "only that ash went soft"."""
    first, last = line.clause_range(line.clause[span[0]])
    told = line.text(first) in _TOLD or any(
        line.pos[i] in _SAYING for i in range(first, last) if not span[0] <= i < span[1]
    )
    return told and not any(first <= n.first < last for n in line.numbers)
