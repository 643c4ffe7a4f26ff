"""Cue: the speaker cuts or punches the cap."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="cuts",
    says="the speaker cuts or punches the cap",
    patterns=(
        r"\b(?:cut|snip(?:ped)?|punch(?:ed)?|v-?cut|straight cut|cutter|guillotine|clipped"
        r"|slice|blade|knife)\b",
    ),
)
