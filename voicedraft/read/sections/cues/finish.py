"""Cue: the speaker tells of the finish."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="finish",
    says="the speaker tells of the finish",
    patterns=(
        r"\b(?:finish|aftertaste|linger\w*|stays? (?:on|with)|hangs? on forever"
        r"|still (?:taste|got|there)|glass(?:es)? of water|five minutes|long finish)\b",
    ),
)
