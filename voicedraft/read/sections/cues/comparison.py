"""Cue: the speaker compares with another cigar."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="comparison",
    says="the speaker compares with another cigar",
    patterns=(
        r"\b(?:the (?:other|last) (?:one|time|dark)|their (?:other|first)|than the"
        r"|last (?:week|month|year)|back in (?:january|february|march|april|may|june|july"
        r"|august|september|october|november|december)|one of (?:his|her|their|those)"
        r"|the one i had|another (?:one|maker|cigar)|different house|not one other)\b",
    ),
)
