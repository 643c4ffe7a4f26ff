"""Strength told of the whole cigar in the verdict, where no third was told: "all in all a medium-strength smoke"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.context import Line
from voicedraft.read.strength.mention import STAGES, Mention
from voicedraft.read.strength.talk import of_somebody, refused, supposed

_WHOLE = frozenset({"overall", "altogether", "whole", "cigar", "smoke", "all"})


def of_all(lines: Sequence[Line]) -> list[Mention]:
    """The same step for every third, from the last such sentence, or nothing."""
    for line in reversed(lines):
        about = line.has("strength.nouns") and not _WHOLE.isdisjoint(line.vocabulary)
        if line.section not in ("verdict", "palate") or not about or line.has("strength.claimed"):
            continue
        steps = [
            s for s in line.words.scale.find(line.tokens)
            if s.core and not line.other[s.first]
            and not (supposed(line, s) or of_somebody(line, s) or refused(line, s))
        ]
        if len(steps) == 1 and not line.has("strength.body"):
            step = steps[0]
            return [
                Mention(stage, step.low, step.high, line, step.first, step.last, 1, "said of the whole smoke")
                for stage in STAGES
            ]
    return []
