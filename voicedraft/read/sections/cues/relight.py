"""Cue: the speaker tells of a touch-up or a relight."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="relight",
    says="the speaker tells of a touch-up or a relight",
    patterns=(
        r"\b(?:touch(?:ed|ing)?[- ]?ups?|touch(?:ed)? it up|re-?lights?|re-?lit|relighting"
        r"|went out|gone out|died on me|quit on me|out (?:the )?once|corrected"
        r"|correction with the|put (?:the |a )?(?:flame|lighter|torch) to)\b",
    ),
)
