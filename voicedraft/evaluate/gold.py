"""Gold sessions: reading them, and turning them into the transcript that a perfect recogniser would give."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from voicedraft.errors import InputError
from voicedraft.types import Passage, Take, Transcript, Word

WORD_S = 0.4
"""Seconds a spoken word: 150 words a minute, an ordinary speaking rate."""
PAUSE_S = 0.6
"""Seconds between two sentences."""
TAKE_GAP_S = 420.0
"""Seconds between takes after light where the gold gives no clock."""


def load(path: Path) -> dict[str, Any]:
    """One gold session. Raises InputError naming the file where it is no such thing."""
    try:
        gold: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as error:
        raise InputError(f"{path} cannot be read as a gold session ({error}).") from error
    if not isinstance(gold, dict) or "takes" not in gold:
        raise InputError(f"{path} is no gold session: it has no takes.")
    return gold


def transcript(gold: dict[str, Any]) -> Transcript:
    """The words of a gold session with even times: one take of the gold is one take here."""
    words: list[Word] = []
    takes: list[Take] = []
    now, light = 0.0, None
    for n, take in enumerate(gold["takes"]):
        minutes = take.get("minutes_since_light")
        if minutes is not None:
            light = now + 60.0 if light is None else light
            now = max(now + 30.0, light + minutes * 60.0)
        elif n:
            now += TAKE_GAP_S if light is not None else 45.0
        begin = now
        for sentence in take["sentences"]:
            for text in sentence["t"].split():
                words.append(Word(text=text, start=now, end=now + WORD_S * 0.9, take=n + 1, heard=text))
                now += WORD_S
            now += PAUSE_S
        takes.append(Take(number=n + 1, start=begin, end=now, source=str(gold.get("id", "gold"))))
    return Transcript(tuple(words), tuple(takes))


def sentence_labels(gold: dict[str, Any]) -> list[tuple[int, int, str, str | None]]:
    """(first word, last word, section, stage) of each gold sentence, word positions as in `transcript(gold)`."""
    rows: list[tuple[int, int, str, str | None]] = []
    position = 0
    for take in gold["takes"]:
        for sentence in take["sentences"]:
            count = len(sentence["t"].split())
            rows.append((position, position + count, sentence["section"], sentence["stage"]))
            position += count
    return rows


def gold_passages(gold: dict[str, Any]) -> tuple[Passage, ...]:
    """One passage for each gold sentence, as it is annotated."""
    return tuple(
        Passage(f"p{n + 1}", 1, first, last, section, stage, 1.0)  # type: ignore[arg-type]
        for n, (first, last, section, stage) in enumerate(sentence_labels(gold))
    )
