"""Cue: the speaker tells where the cigar came from."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="bought",
    says="the speaker tells where the cigar came from",
    patterns=(
        r"\b(?:bought|picked (?:it|them|these|this) up|sent me|gave me|came from|arrived"
        r"|ordered|from the shop|sample|sampler|box of|fiver|first of|second of|third of"
        r"|fourth of|last of)\b",
    ),
)
