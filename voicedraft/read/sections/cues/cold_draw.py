"""Cue: the speaker draws it unlit."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="cold draw",
    says="the speaker draws it unlit",
    patterns=(
        r"\b(?:cold[- ]draw|cold (?:pull|puff|on|i|it|there)|unlit|dry (?:draw|pull)|pull(?:s"
        r"|ed|ing)? (?:it )?(?:dry|cold|easy|open|free)|draws? cold|(?:and|now|then),? cold"
        r"|without fire|pre-draw)\b",
    ),
)
