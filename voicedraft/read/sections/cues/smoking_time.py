"""Cue: the speaker sums up how long it lasted."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="smoking time",
    says="the speaker sums up how long it lasted",
    patterns=(
        r"\b(?:all (?:up|told|in)|in (?:all|total)|start to finish|match to|altogether|out,"
        r"|done|finished|put (?:it|her) (?:down|out)|laid (?:it|her) (?:down|to rest)"
        r"|that's (?:her|it|that) (?:out|done))\b",
        r"\b(?:hour|minutes?)\b.{0,30}\b(?:total|altogether|in all|all up|all told"
        r"|smoking time|from light)\b",
    ),
)
