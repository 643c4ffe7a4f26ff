"""Cue: the speaker turns to money."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opens value",
    says="the speaker turns to money",
    patterns=(
        r"^\W*(?:\w+,? ){0,3}(?:value|money|price|cost|the damage|now,? the money|how much)\b",
    ),
)
