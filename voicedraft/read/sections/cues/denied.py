"""Cue: the speaker says that something is not there."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="denied",
    says="the speaker says that something is not there",
    patterns=(
        r"\b(?:no|not|none|nor|neither|never|nothing|without|isn't|wasn't|don't|can't"
        r"|couldn't)\b",
    ),
)
