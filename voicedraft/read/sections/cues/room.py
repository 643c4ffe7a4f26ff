"""Cue: the speaker tells of the smell of the room."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="room",
    says="the speaker tells of the smell of the room",
    patterns=(
        r"\b(?:room|house|kitchen|shed|car|cab|in here|sleeve|jacket"
        r"|curtains)\b.{0,40}\b(?:smell\w*|aroma|note|reeks?)\b",
        r"\b(?:smell\w*|room note|aroma)\b.{0,40}\b(?:room|in here|the house|like)\b",
        r"\b(?:she|he|they|wife|husband|somebody|someone)\b.{0,30}\b(?:says?|said|reckons"
        r"|thinks)\b.{0,20}\bsmell",
    ),
)
