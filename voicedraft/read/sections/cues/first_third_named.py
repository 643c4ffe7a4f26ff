"""Cue: the speaker names the first third or the beginning."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="first third named",
    says="the speaker names the first third or the beginning",
    patterns=(
        r"\b(?:first|opening|1st) (?:third|part|bit|stretch|inch|section|half hour|quarter"
        r"|phase|ten|few|puffs?|draws?)\b",
        r"\b(?:at first|to (?:begin|start)|at the (?:start|beginning|outset)|opens?|opened"
        r"|opening|kicks? off|came out|how it (?:has )?start\w*|right off|from the off"
        r"|early on)\b",
    ),
)
