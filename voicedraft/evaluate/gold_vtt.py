"""The WebVTT that a recogniser would have written of a gold session, in two styles.

"sentences": a cue a sentence. "cues": cues of about nine words that ignore sentences, as recognisers write them. The
same pseudo-random lengths as tests/reference/transcript.py, which the tests hold it against.
"""

from __future__ import annotations

import random
from typing import Any, Literal

from voicedraft.draft.vtt import webvtt
from voicedraft.evaluate.gold import transcript
from voicedraft.hear.timed_text import parse_timed_text
from voicedraft.types import Transcript, Word

Style = Literal["sentences", "cues"]
STYLES: tuple[Style, ...] = ("sentences", "cues")
CUE_WORDS = 9


def to_vtt(gold: dict[str, Any], style: Style) -> str:
    """The session as WebVTT text."""
    cues = _by_sentence(gold) if style == "sentences" else _by_nine(gold)
    return webvtt(("", c[0].start, c[-1].end, " ".join(w.text for w in c)) for c in cues)


def heard(gold: dict[str, Any], style: Style) -> Transcript:
    """The transcript as the program reads it from that WebVTT."""
    return parse_timed_text(to_vtt(gold, style), f"{gold.get('id', 'gold')}.vtt")


def _by_sentence(gold: dict[str, Any]) -> list[list[Word]]:
    words = iter(transcript(gold).words)
    counts = [len(s["t"].split()) for take in gold["takes"] for s in take["sentences"]]
    return [[next(words) for _ in range(count)] for count in counts if count]


def _by_nine(gold: dict[str, Any]) -> list[list[Word]]:
    rng = random.Random(gold["id"])  # noqa: S311 - cue lengths, not secrets
    cues: list[list[Word]] = []
    words = transcript(gold).words
    for take in range(1, len(gold["takes"]) + 1):
        chunk: list[Word] = []
        size = CUE_WORDS
        for word in (w for w in words if w.take == take):
            chunk.append(word)
            if len(chunk) >= size:
                cues.append(chunk)
                chunk, size = [], CUE_WORDS + rng.randint(-3, 3)
        if chunk:
            cues.append(chunk)
    return cues
