"""Splits a transcript into sentences, and long breathless ones into clauses.

A sentence never crosses a take. Where the printed text has full stops they decide; a long pause decides too; and
where speech has few full stops, sentences past `LONG` words are split at a clause boundary, longest side first.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from voicedraft.types import Transcript, Word

LONG = 40
"""Words past which a sentence is split at a clause. The 99th percentile of the annotated sentences is 47 words."""
SHORT_CLAUSE = 7
"""A clause split leaves at least this many words on each side."""
PAUSE_S = 2.0
"""A silence of this many seconds between two words ends a sentence (common practice, no source)."""
HEARD_PAUSE_S = 0.9
"""The same where the times are a recogniser's own, word by word, and not shared out over a cue."""
COMMA_PAUSE_S = 0.6
"""The same after a comma: recognisers write commas for full stops through whole takes. On the demo's sound, pauses
inside a sentence are below 0.6 s in all but one case, and between sentences above it in four of five."""

_END = re.compile(r"[.?!…]+[\"'”’)\]]*$")
_ABBREVIATION = re.compile(r"^(?:mr|mrs|ms|dr|st|no|vs|etc|e\.g|i\.e|approx|a\.m|p\.m)\.$", re.IGNORECASE)
_CLAUSE_STARTS = frozenset({"and", "but", "so", "then", "now", "because", "cause", "although", "while", "which", "or"})


@dataclass(frozen=True, slots=True)
class Sentence:
    """Words `[first, last)` of one take. `offsets[i]` is the character in `text` at which word `first + i` starts."""

    index: int
    take: int
    first: int
    last: int
    text: str
    offsets: tuple[int, ...]
    start: float
    end: float

    def word_at(self, char: int) -> int:
        """Transcript index of the word that holds character `char` of `text`."""
        low = 0
        for i, offset in enumerate(self.offsets):
            if offset > char:
                break
            low = i
        return self.first + low


def split(transcript: Transcript) -> tuple[Sentence, ...]:
    """All sentences in order; together they cover every word of the transcript exactly once."""
    ranges: list[tuple[int, int]] = []
    words = transcript.words
    first = 0
    for i, word in enumerate(words):
        if i + 1 == len(words) or _ends(word, words[i + 1]):
            ranges += _clauses(transcript, first, i + 1)
            first = i + 1
    return tuple(_sentence(transcript, n, a, b) for n, (a, b) in enumerate(ranges))


def _ends(word: Word, after: Word) -> bool:
    """Whether a sentence ends between two words that follow each other."""
    if after.take != word.take or (_END.search(word.text) and not _ABBREVIATION.match(word.text)):
        return True
    pause = after.start - word.end
    if word.probability is None:
        return pause > PAUSE_S
    return pause > (COMMA_PAUSE_S if word.text[-1:] in ",;:" else HEARD_PAUSE_S)


def _clauses(transcript: Transcript, first: int, last: int) -> list[tuple[int, int]]:
    """`[first, last)` itself, or its clauses where it is longer than `LONG` words."""
    if last - first <= LONG:
        return [(first, last)]
    cut = _best_cut(transcript, first, last)
    if cut is None:
        return [(first, last)]
    return _clauses(transcript, first, cut) + _clauses(transcript, cut, last)


def _best_cut(transcript: Transcript, first: int, last: int) -> int | None:
    """The clause boundary nearest the middle: best after a comma before a conjunction, then either one alone."""
    middle = (first + last) / 2
    best: tuple[float, int] | None = None
    for i in range(first + SHORT_CLAUSE, last - SHORT_CLAUSE + 1):
        comma = transcript.words[i - 1].text[-1:] in ",;:—–"
        starts = transcript.words[i].text.lower().strip(",") in _CLAUSE_STARTS
        if not (comma or starts):
            continue
        cost = abs(i - middle) / (last - first) - 0.35 * (comma and starts) + 0.2 * (not starts)
        if best is None or cost < best[0]:
            best = (cost, i)
    return best[1] if best else None


def _sentence(transcript: Transcript, index: int, first: int, last: int) -> Sentence:
    offsets, position = [], 0
    for word in transcript.words[first:last]:
        offsets.append(position)
        position += len(word.text) + 1
    return Sentence(
        index=index, take=transcript.words[first].take, first=first, last=last, text=transcript.text(first, last),
        offsets=tuple(offsets), start=transcript.words[first].start, end=transcript.words[last - 1].end,
    )
