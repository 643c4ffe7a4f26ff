"""Cue: the speaker tells of the band or the box."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="band box",
    says="the speaker tells of the band or the box",
    patterns=(
        r"\b(?:band|bands|label|foil|box|ribbon|print(?:ed)?|gold|crest|logo|lettering"
        r"|cedar sleeve)\b",
    ),
)
