"""Cue: the speaker tells of the burn line."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="burn line",
    says="the speaker tells of the burn line",
    patterns=(
        r"\b(?:burn(?:s|ed|t|ing|in')?(?: line)?|burn-?line|line|wavy|crooked|straight|uneven"
        r"|even|razor|canoe\w*|canoein'|tunnel\w*|lopsided|slant|lean|lag(?:s|ging)?|runner"
        r"|side is|one side|ahead)\b",
    ),
)
