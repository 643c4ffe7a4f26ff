"""Cue: the speaker names wrapper, binder or filler with a leaf or a country."""

from __future__ import annotations

from voicedraft.read.sections.cues.cue import Cue

CUE = Cue(
    name="leaf origin",
    says="the speaker names wrapper, binder or filler with a leaf or a country",
    patterns=(
        r"\b(?:wrapper|binder|filler|leaf|ligero|seco|viso|volado|priming|outside"
        r"|inside)\b.{0,60}\b(?:nicaragua\w*|hondura\w*|dominican\w*|ecuador\w*|mexic\w*"
        r"|brazil\w*|cuba\w*|indonesia\w*|cameroon\w*|connecticut|broadleaf|habano|corojo"
        r"|criollo|sumatra|san andr\w+|maduro|pennsylvania|peru\w*|costa rica\w*|colombia\w*"
        r"|jalapa|estel\w+|condega|java\w*|besuki)\b",
    ),
)
