"""Cue: the speaker smells the wrapper or the foot."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="wrapper foot smell",
    says="the speaker smells the wrapper or the foot",
    patterns=(
        r"\b(?:off|from|on|at|along|of) (?:the |its |her )?(?:wrapper|foot|leaf|barrel"
        r"|open end|other end|cover)\b",
        r"\b(?:smells?|smelling|smelled|smelt|sniff\w*|nose|nosing|whiff|aroma|scent"
        r"|bouquet)\b",
    ),
)
