"""Cue: the speaker asks a question."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="question",
    says="the speaker asks a question",
    patterns=(
        r"\?",
        r"\b(?:asks?|asking|asked|wants to know)\b",
    ),
)
