"""Cue: the speaker tells of strength or body."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="strength",
    says="the speaker tells of strength or body",
    patterns=(
        r"\b(?:strength|strong|nicotine|body|bodied|mild|medium|medium-full|full|kick|punch"
        r"|knees|legs|head)\b",
    ),
)
