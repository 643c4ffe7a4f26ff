"""Cue: the speaker tells of heat or smoke output."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="heat smoke",
    says="the speaker tells of heat or smoke output",
    patterns=(
        r"\b(?:hot|warm|cool|heat|temperature|fingers|lip)\b",
        r"\b(?:smoke|clouds?|plume|output|wisp|volume)\b",
    ),
)
