"""Cue: the speaker tells a memory or a story."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="memory",
    says="the speaker tells a memory or a story",
    patterns=(
        r"\b(?:when i was|used to|years ago|as a (?:boy|girl|child|kid|lad)|my (?:grand\w+"
        r"|father|mother|uncle|aunt|dad|mum|mom)|reminds me of|put me in mind"
        r"|takes me (?:straight )?back to|once (?:stood|saw|had|met)|back home)\b",
    ),
)
