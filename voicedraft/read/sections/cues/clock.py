"""Cue: the speaker tells by the clock how far it has burnt."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import NUMBER, Cue

CUE = Cue(
    name="clock",
    says="the speaker tells by the clock how far it has burnt",
    patterns=(
        r"\b" + NUMBER + r"(?:[- ]" + NUMBER + r")* (?:minutes?|mins?|hours?)(?: or so| odd)?,? (?:in|on|over|gone"
        r"|later|since|past|after)\b",
        r"\b(?:on the (?:clock|watch)|time check|quarter (?:to|past|of)|half past|o'clock"
        r"|minutes? in)\b",
    ),
)
