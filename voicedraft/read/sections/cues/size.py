"""Cue: the speaker gives length and ring gauge or a vitola."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import NUMBER, Cue

CUE = Cue(
    name="size",
    says="the speaker gives length and ring gauge or a vitola",
    patterns=(
        r"\b" + NUMBER + r"(?:[- ](?:and|" + NUMBER + r")){0,3}[^.,]{0,24}\bby (?:a )?" + NUMBER + r"\b",
        r"\b(?:ring gauge|ring|gauge|vitola|robusto|toro|gordo|corona|churchill|lancero"
        r"|lonsdale|torpedo|belicoso|perfecto|panat?ela|petit|box-pressed|parejo|figurado)\b",
    ),
)
