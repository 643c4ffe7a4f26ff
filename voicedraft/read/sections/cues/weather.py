"""Cue: the speaker speaks of the weather or the place."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="weather",
    says="the speaker speaks of the weather or the place",
    patterns=(
        r"\b(?:rain(?:ing)?|wind|breeze|snow(?:ing)?|thunder|sun(?:shine|set|rise)?|freezing"
        r"|minus \w+|balcony|porch|garage|garden|terrace|verandah?|shed|patio|traffic|bus"
        r"|train|car)\b",
    ),
)
