"""Cue: the speaker tells by length that a good part is left."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

_SOME = r"(?:three|four|five|[3-5](?:\.5)?)(?: and (?:a |an )?(?:half|quarter|bit|\w+[- ](?:eighths?|quarters?)))?"

CUE = Cue(
    name="much left",
    says="the speaker tells by length that a good part is left",
    patterns=(
        r"\b" + _SOME + r" inches(?:,? (?:or so|maybe|perhaps))?,? (?:left|to go|remain\w*|in hand|still)\b",
        r"\b(?:seven|eight|nine|ten|[7-9]|1[0-2]) (?:centimet\w+|cm),? (?:left|to go|remain\w*|still)\b",
    ),
)
