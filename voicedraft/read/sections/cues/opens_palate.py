"""Cue: the speaker turns to the smoke as a whole."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="opens palate",
    says="the speaker turns to the smoke as a whole",
    patterns=(
        r"^\W*(?:\w+,? ){0,3}(?:palate|whole smoke|finish|balance|complexity|taken (?:whole"
        r"|all|as)|take (?:her|it) all|big picture|overall)\b",
        r"\b(?:as a whole|the whole (?:thing|smoke|way)|all round|end to end|start to end"
        r"|front to back|altogether it)\b",
    ),
)
