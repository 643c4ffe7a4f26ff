"""Cue: the speaker squeezes or weighs it."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="feel in hand",
    says="the speaker squeezes or weighs it",
    patterns=(
        r"\b(?:firm|soft|spongy|springy|hard|packed|squeez\w+|press(?:ed)?|pinch|heft|weighs?"
        r"|weight in|give(?:s)?|even(?:ly)? rolled|roll(?:ed)? (?:well|evenly)|cap|triple"
        r"|pigtail|head)\b",
    ),
)
