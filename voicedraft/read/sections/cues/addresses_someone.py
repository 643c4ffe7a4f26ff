"""Cue: the speaker speaks to a person or an animal in the room."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="addresses someone",
    says="the speaker speaks to a person or an animal in the room",
    patterns=(
        r"\b(?:thank you|thanks|love you|come here|come in|go away|sit|stay|down, boy"
        r"|good (?:girl|boy|dog)|shoo|get off|leave it|darling|mate|dear|sweetheart|buddy"
        r"|brother)\b",
        r"\b(?:dog|cat|neighbour|neighbor|husband|wife|kids?|daughter|son|nephew|niece|uncle"
        r"|aunt|grandma|grandpa|mother|father|mum|mom|dad)\b",
    ),
)
