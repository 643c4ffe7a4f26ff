"""Cue: the speaker names a drink."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="drink",
    says="the speaker names a drink",
    patterns=(
        r"\b(?:rum|whisk(?:e)?y|bourbon|scotch|port|sherry|wine|beer|stout|ale|lager|coffee"
        r"|espresso|tea|cognac|brandy|tequila|mezcal|water|cider|cola|soda|juice|gin|vodka"
        r"|porter|milk|glass|bottle|pint|dram)\b",
    ),
)
