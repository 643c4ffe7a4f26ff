"""Cue: the speaker names a section without opening it."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="look ahead",
    says="the speaker names a section without opening it",
    patterns=(
        r"\b(?:i'll (?:come|get) (?:to|back)|come to (?:that|it|the)|get to (?:that|it|the)"
        r"|later|more on that|save (?:it|that|for)|in a (?:bit|minute|moment|while)|we'll see"
        r"|ask me|properly|when we)\b",
    ),
)
