"""Cue: the speaker tells of the draw while lit."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="draw lit",
    says="the speaker tells of the draw while lit",
    patterns=(
        r"\b(?:draw(?:s|ing|n)?|pull(?:s|ing)?|resistance|airflow|suck(?:ing)?|plug(?:ged)?"
        r"|pinching|tight(?:er|ened)?|loose(?:r|ned)?|opened up|airy)\b",
    ),
)
