"""Cue: the speaker reads a message that has nothing to do with the cigar."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="sponsor",
    says="the speaker reads a message that has nothing to do with the cigar",
    patterns=(
        r"\b(?:sponsor(?:ed)?|brought to you|shout[- ]out|happy birthday|subscribe|comments?"
        r"|viewers?|listeners?|chat says|followers?)\b",
    ),
)
