"""Cue: the speaker goes over the whole again."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="recap",
    says="the speaker goes over the whole again",
    patterns=(
        r"\b(?:recap|in (?:short|summary)|once more|to sum|summary|run through|first third,"
        r"|second third,|last third|final third,|skipped|came in late|got home)\b",
    ),
)
