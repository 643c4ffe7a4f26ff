"""Cue: the speaker names binder or filler."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="binder filler",
    says="the speaker names binder or filler",
    patterns=(
        r"\b(?:binder|filler|fillers|ligero|seco|viso|volado|priming|puro|crop|harvest"
        r"|fermented|fermentation|aged leaf)\b",
    ),
)
