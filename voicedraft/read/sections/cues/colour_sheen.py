"""Cue: the speaker tells of colour, sheen, veins or seams."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="colour sheen",
    says="the speaker tells of colour, sheen, veins or seams",
    patterns=(
        r"\b(?:colou?r|shade|brown|reddish|dark(?:er)?|black|tan|chestnut|oily|oils?|sheen"
        r"|shine|shiny|matt|matte|glossy|tooth|toothy|veins?|vein|veiny|seams?|spots?|speck"
        r"|blemish|mottled|smooth|bumps?|silky|leather to the touch)\b",
    ),
)
