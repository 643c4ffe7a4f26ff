"""Cue: the speaker breaks off, or promises to be back."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="break off",
    says="the speaker breaks off, or promises to be back",
    patterns=(
        r"\b(?:hang on|hold on|hold up|one (?:second|moment|minute|sec)|wait a (?:minute"
        r"|second|moment)|just a (?:minute|second|moment)|excuse me|bear with me|back in a"
        r"|be (?:right )?back|come back to you|back to you|more (?:in a while|later|soon))\b",
        r"\b(?:doorbell|the phone|phone's|my phone|somebody's at the|someone's at the"
        r"|knock(?:ing)? (?:at|on) the)\b",
    ),
)
