"""Cue: the speaker turns to the smell and the cold draw."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opens prelight",
    says="the speaker turns to the smell and the cold draw",
    patterns=(
        r"^\W*(?:\w+,? ){0,4}(?:pre-?light|aromas?|nose (?:to|time|along|first)|smell(?:ing"
        r"|s)?|sniff)\b",
        r"\b(?:before (?:i|the|any|there's|lighting|we) ?(?:light|fire|lit|fire comes)?"
        r"|nothing(?:'s)? lit|still cold|before the fire)\b",
    ),
)
