"""Cue: the speaker gives an opinion of the whole cigar."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opinion",
    says="the speaker gives an opinion of the whole cigar",
    patterns=(
        r"\b(?:good|great|decent|lovely|fine|excellent|best|favourite|favorite|liked?|love"
        r"|enjoy(?:ed)?|impressed|disappoint\w*|pleasant|honest|solid)\b.{0,20}\b(?:cigar"
        r"|stick|smoke|one|thing|it|them)\b",
    ),
)
