"""Cue: the speaker turns to what the cigar is."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opens background",
    says="the speaker turns to what the cigar is",
    patterns=(
        r"^\W*(?:\w+,? ){0,3}(?:background|particulars|details|basics|the blend|the leaf"
        r"|leaf,|the specs|vitola|facts)\b",
        r"\b(?:what (?:i|we)(?:'ve| have)? (?:got|have|am|'m|are|'re)|what am i|what is it"
        r"|today(?:'s| it's| is)|tonight(?:'s| it's| is)|it's called|the line is called"
        r"|this is the|from the house)\b",
    ),
)
