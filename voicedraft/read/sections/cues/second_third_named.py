"""Cue: the speaker names the second third or the middle."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="second third named",
    says="the speaker names the second third or the middle",
    patterns=(
        r"\b(?:second|2nd|middle|mid) (?:third|part|bit|stretch|section|portion|verse|phase"
        r"|act)\b",
        r"\b(?:half ?-?way|midpoint|mid-point|the middle|half (?:of it|gone|smoked|left)"
        r"|crossed the middle|centre|mid-section)\b",
    ),
)
