"""Cue: the speaker gives a score."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import NUMBER, Cue

CUE = Cue(
    name="score",
    says="the speaker gives a score",
    patterns=(
        r"\b(?:out of (?:ten|five|a hundred|twenty|\d+)|points?|marks?|stars?|score[sd]?"
        r"|i(?:'d| would|'ll)? (?:say|give|put|call)(?: it)?(?: an?)? (?:" + NUMBER + r"|\d))\b",
    ),
)
