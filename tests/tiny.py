"""Tiny transcripts and readings for tests."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.types import Passage, Reading, Section, Stage, Take, Transcript, Word

WORD_S = 0.4


def transcript(*takes: Sequence[str], gap: float = 300.0) -> Transcript:
    """Takes of sentences as a transcript: 0.4 s a word, 0.6 s between sentences, `gap` seconds between takes."""
    words: list[Word] = []
    entries: list[Take] = []
    now = 0.0
    for number, sentences in enumerate(takes, start=1):
        begin = now
        for sentence in sentences:
            for text in sentence.split():
                words.append(Word(text, now, now + 0.36, number, heard=text))
                now += WORD_S
            now += 0.6
        entries.append(Take(number, begin, now, f"take-{number:02d}.flac"))
        now += gap
    return Transcript(tuple(words), tuple(entries))


def reading(rows: Sequence[tuple[str, Section, Stage | None]]) -> Reading:
    """A reading of one take whose passages are the given sentences with their labels."""
    spoken = transcript([text for text, _, _ in rows])
    passages, first = [], 0
    for n, (text, section, stage) in enumerate(rows, start=1):
        last = first + len(text.split())
        passages.append(Passage(f"p{n}", 1, first, last, section, stage, 0.9))
        first = last
    return Reading(transcript=spoken, passages=tuple(passages))
