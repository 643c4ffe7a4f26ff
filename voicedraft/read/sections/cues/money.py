"""Cue: the speaker names an amount of money."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import NUMBER, Cue

CUE = Cue(
    name="money",
    says="the speaker names an amount of money",
    patterns=(
        r"[$£€¥₹]\s?\d",
        r"\b(?:\d[\d.,]*|" + NUMBER + r"(?:[- ]" + NUMBER + r")*) (?:dollars?|bucks|pounds?|quid|euros?|cents|pence"
        r"|rupees|pesos|francs|rand|yen|kroner|kronor|a stick|each|apiece)\b",
        r"\b(?:tenner|fiver|per stick|a stick|a single|by the box|singles)\b",
    ),
)
