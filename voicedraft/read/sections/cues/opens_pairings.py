"""Cue: the speaker turns to food and drink."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opens pairings",
    says="the speaker turns to food and drink",
    patterns=(
        r"^\W*(?:\w+,? ){0,4}(?:pair(?:s|ed|ing|ings)?|to drink|to eat|drinks?|food)\b",
        r"\b(?:what to (?:have|drink|eat)|goes? (?:next|well|with)|to go with|with it"
        r"|alongside|next to it|beside it|wash it down)\b",
    ),
)
