"""Cue: the speaker says for whom, when, or whether again."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="who for",
    says="the speaker says for whom, when, or whether again",
    patterns=(
        r"\b(?:who (?:is it|it's|would)|would i (?:buy|smoke)|buy (?:it |one |them |a box "
        r"|another )?again|another (?:five|box|one)|again, yes|beginner|newbies?|novice"
        r"|recommend|it's (?:a |one )?for (?:somebody|someone|anybody|a|the|when)|hand (?:it"
        r"|this) to|give (?:it|this|one) to|occasion|evening|sunday|saturday|after dinner"
        r"|somebody who|anybody who|someone who)\b",
    ),
)
