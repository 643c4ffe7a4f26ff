"""Cue: the speaker tells what is tasted."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="tastes",
    says="the speaker tells what is tasted",
    patterns=(
        r"\b(?:i(?:'m| am)? ?(?:get|getting|gettin'|taste|tasting|find|detect|pick(?:ing)? up"
        r"|smell)|tastes?|flavou?rs?|notes?|hints?|bit of|touch of|lots of|plenty|loads of"
        r"|suggestion|sweet(?:ness)?|bitter(?:ness)?|sour|salt(?:y)?|spice|pepper)\b",
    ),
)
