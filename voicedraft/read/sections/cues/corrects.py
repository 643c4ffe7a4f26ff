"""Cue: the speaker corrects what was said."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="corrects",
    says="the speaker corrects what was said",
    patterns=(
        r"\b(?:no, (?:wait|wrong|not|no|it's|i)|sorry,|i mean|make that|correction|scratch"
        r"|actually|let me see|i tell a lie|wait,)\b",
    ),
)
