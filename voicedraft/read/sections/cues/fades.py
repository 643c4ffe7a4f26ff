"""Cue: the speaker tells of a flavour that comes or goes."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="fades",
    says="the speaker tells of a flavour that comes or goes",
    patterns=(
        r"\b(?:gone|fading|faded|fades|thinn(?:ed|ing)|dropp(?:ed|ing) off|backed off"
        r"|come back|came back|back again|still (?:there|here)|turned into|carried (?:on"
        r"|over)|moved in|taken (?:over|its place)|in (?:its|his|her) place|can't find"
        r"|lost the|no more|hanging (?:on|about|around)|new(?: stuff)?|arrived|showed up"
        r"|turned up|instead)\b",
    ),
)
