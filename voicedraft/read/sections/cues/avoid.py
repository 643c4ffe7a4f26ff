"""Cue: the speaker names what does not go with it."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="avoid",
    says="the speaker names what does not go with it",
    patterns=(
        r"\b(?:avoid|keep (?:it )?away|wouldn't (?:put|have|do|let|pour|pair|drink)"
        r"|would not (?:put|have|do|pour)|don't (?:pair|put|drink|have|pour)|stay away"
        r"|kills? it|fight(?:s)? with|not with|leave the)\b",
    ),
)
