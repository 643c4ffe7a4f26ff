"""Cue: the speaker says goodbye or closes the session."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="sign off",
    says="the speaker says goodbye or closes the session",
    patterns=(
        r"\b(?:good ?night|goodbye|bye|cheers|so long|see you|take care|over and out"
        r"|signing off|that's (?:me|the lot|it from me|all from me|plenty|the show)"
        r"|thanks? (?:you )?for)\b",
        r"\b(?:switch(?:ing)? (?:this|it) off|end of (?:tape|recording|session)|off to bed)\b",
    ),
)
