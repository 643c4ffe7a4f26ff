"""Cue: the speaker turns to the burn."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opens burn",
    says="the speaker turns to the burn",
    patterns=(
        r"^\W*(?:\w+,? ){0,3}(?:burn|the burn|combustion|ash|construction|draw"
        r"|the draw)\b\W*(?:now|then|so far|for|through|in|first|on|$|,|is|was)",
        r"\bhow(?:'s| is) (?:she|it|he|the draw) (?:burn|draw|pull)?",
    ),
)
