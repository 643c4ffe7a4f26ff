"""Cue: the speaker names the last third or the end."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import NUMBER, Cue

CUE = Cue(
    name="final third named",
    says="the speaker names the last third or the end",
    patterns=(
        r"\b(?:final|last|third|3rd) (?:third|part|bit|stretch|section|portion|inch|inches"
        r"|verse|phase|leg|act|lap|couple|quarter|few)\b",
        r"\b(?:past the band|band(?:'s| is| has|s) (?:come )?off|off (?:comes|came) the band"
        r"|took the band off|nub|home stretch|home straight|tail end|near(?:ly)? done"
        r"|last of it|down to (?:about |the |my |i'd say )*(?:last |" + NUMBER + r" )|to go|left (?:of it"
        r"|in it|to)|near the end|the end of it)\b",
    ),
)
