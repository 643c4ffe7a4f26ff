"""Cue: the speaker takes up the thread again."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="resume",
    says="the speaker takes up the thread again",
    patterns=(
        r"\b(?:where (?:was|were|had) (?:i|we)|where i was|as i was saying|anyway|anyhow"
        r"|we're back|i'm back|back (?:again|now)|right, back|sorry about that|carry on"
        r"|carrying on|let me (?:go on|start again|have another go))\b",
    ),
)
