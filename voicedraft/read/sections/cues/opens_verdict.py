"""Cue: the speaker turns to the verdict."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opens verdict",
    says="the speaker turns to the verdict",
    patterns=(
        r"^\W*(?:\w+,? ){0,3}(?:verdict|conclusion|scores?|numbers|final (?:word|thoughts?"
        r"|answer)|sum(?:ming)? up|to sum up|bottom line|in short|so what do i)\b",
    ),
)
