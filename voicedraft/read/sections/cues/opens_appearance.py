"""Cue: the speaker turns to the looks."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opens appearance",
    says="the speaker turns to the looks",
    patterns=(
        r"^\W*(?:\w+,? ){0,3}(?:appearance|looks|the look of it|construction"
        r"|the wrapper, then|visual(?:s|ly)?|on the eye)\b",
        r"\b(?:how (?:is|does) (?:it|she|he) (?:to )?look|get a look|have a look|to look at"
        r"|goin(?:g|') back to the looks|up close)\b",
    ),
)
