"""Cue: the speaker tells by length how far it has burnt."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import NUMBER, Cue

CUE = Cue(
    name="inch in",
    says="the speaker tells by length how far it has burnt",
    patterns=(
        r"\b" + NUMBER + r"(?:[- ](?:and|a|half|quarter|of|an|\d+))*[- ](?:inch(?:es)?|centimet(?:re"
        r"|er)s?|cm|millimet(?:re|er)s?|mm) (?:in|up|gone|of it|of her|left|to go|smoked"
        r"|burnt|burned|still|down)\b",
    ),
)
