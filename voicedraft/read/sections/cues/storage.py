"""Cue: the speaker tells of storage, humidity or rest."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import NUMBER, Cue

CUE = Cue(
    name="storage",
    says="the speaker tells of storage, humidity or rest",
    patterns=(
        r"\b(?:humidor|humidity|per ?cent|percent|rest(?:ed|ing)?|cabinet|cooler|tupperware"
        r"|sachets?|packs?|packets?|stored|cellophane|cello|wine fridge)\b",
        r"\b" + NUMBER + r" (?:days|weeks|months|years)\b",
    ),
)
