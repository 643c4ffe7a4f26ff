"""Cue: the speaker weighs price and worth."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="worth",
    says="the speaker weighs price and worth",
    patterns=(
        r"\b(?:worth|value|price[ds]?|cost(?:s)?|expensive|cheap(?:er)?|pay|paid|paying"
        r"|charge|afford|bargain|deal|fair|steep|save|money|sale|tax)\b",
    ),
)
