"""Cue: the speaker looks back to an earlier part."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="look back",
    says="the speaker looks back to an earlier part",
    patterns=(
        r"\b(?:going back|goin' back|back to the|earlier|before|i (?:forgot|left out|missed"
        r"|never said|said|told you|had)|left (?:one )?out|one (?:more )?thing"
        r"|from the (?:first|foot|wrapper|cold)|(?:on|off) the (?:foot|wrapper|cold draw)"
        r"|remember|that i had|meant to say|correction|scratch that|recap)\b",
    ),
)
