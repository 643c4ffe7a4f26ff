"""Cue: the speaker says hello or begins to record."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="greeting",
    says="the speaker says hello or begins to record",
    patterns=(
        r"^(?:right|okay|ok|so|now|and|oh|well)?,?\s*(?:good (?:evening|morning|afternoon"
        r"|day)|hello|hi|hey|evening|morning|welcome|what is up|what's up)\b",
        r"\b(?:recorder|recording|microphone|mic|camera|tape|red light|testing|listening"
        r"|episode|channel|stream|podcast)\b",
    ),
)
