"""Cue: the speaker names maker, factory, line or release."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="maker",
    says="the speaker names maker, factory, line or release",
    patterns=(
        r"\b(?:makers?|made (?:in|by|for)|rolled|rollers?|factory|company|firm|house|brand"
        r"|outfit|brothers|sons|daughters|family|release|blend(?:ed|er)?|batch|importer"
        r"|imported|distributor)\b",
    ),
)
