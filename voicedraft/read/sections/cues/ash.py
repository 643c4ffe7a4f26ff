"""Cue: the speaker tells of the ash."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="ash",
    says="the speaker tells of the ash",
    patterns=(
        r"\bash(?:es|'s)?\b",
        r"\b(?:flak\w+|holding|holds|held|hung on|dropped|fell|drops|let go|came off"
        r"|stack(?:ed)?)\b.{0,30}\b(?:inch|inches|centimet\w+|millimet\w+|it|trousers|lap"
        r"|floor)\b",
    ),
)
