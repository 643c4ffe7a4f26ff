"""Cue: the speaker names a dish."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="food",
    says="the speaker names a dish",
    patterns=(
        r"\b(?:brisket|steak|cheese|cheddar|chocolate cake|dessert|cake|ribs?|roast|lamb|pork"
        r"|beef|fish|sushi|ham|bread|pudding|pie|curry|dinner|lunch|breakfast|meal|plate|nuts"
        r"|crackers)\b",
    ),
)
