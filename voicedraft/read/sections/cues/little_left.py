"""Cue: the speaker tells by length that little is left."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

_FEW = r"(?:an?|one|two|half an|a couple of|1|2|1\.5|2\.5)"
_PART = r"(?: and (?:a |an )?(?:half|quarter|bit|\w+[- ](?:eighths?|quarters?)))?"
_FEW_CM = r"(?:two|three|four|five|six|[2-6])"

CUE = Cue(
    name="little left",
    says="the speaker tells by length that little is left",
    patterns=(
        r"\b" + _FEW + _PART + r" inch(?:es)?" + _PART
        + r"(?:,? (?:or so|maybe|perhaps))?,? (?:left|to go|remain\w*|in hand|still)\b",
        r"\b(?:final|last) (?:" + _FEW + r" )?" + _PART + r" ?(?:inch|inches|centimet\w+|cm|fingers?)\b",
        r"\b" + _FEW_CM + r" (?:centimet\w+|cm),? (?:left|to go|remain\w*|not more|no more|still)\b",
        r"\bdown to (?:about |around |maybe |the last |my last |i'd say )*" + _FEW + _PART + r" inch",
    ),
)
