"""Cue: the speaker looks for matches or a lighter, or tells of lighting."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="fetches fire",
    says="the speaker looks for matches or a lighter, or tells of lighting",
    patterns=(
        r"\b(?:match(?:es)?|lighter|torch|flame|fire|light(?:ing)? (?:it|her|him|this|up)"
        r"|lit (?:it|her|him|this)|toast(?:ing|ed)? the foot|took the (?:flame|fire)|caught"
        r"|lit)\b",
    ),
)
