"""Cue: the speaker tells of complexity, balance or evolution."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="whole smoke",
    says="the speaker tells of complexity, balance or evolution",
    patterns=(
        r"\b(?:complex(?:ity)?|balanced?|evol\w+|develop\w+|chang(?:es|ed)|moves? around"
        r"|transitions?|journey|linear|one-dimensional|layers?|harmon\w+|three (?:acts"
        r"|movements)|never (?:sits|sat) still)\b",
    ),
)
