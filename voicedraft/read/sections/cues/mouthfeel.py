"""Cue: the speaker tells how the smoke feels in the mouth."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="mouthfeel",
    says="the speaker tells how the smoke feels in the mouth",
    patterns=(
        r"\b(?:mouth|tongue|teeth|lips?|cheeks?|palate|throat|chewy|thick(?:er)?|thin(?:ner)?"
        r"|oily|oilier|silky|creamy|dry|drier|texture|coats?|mouthfeel|retrohale|nose|exhale"
        r"|sinus\w*)\b",
    ),
)
