"""Flavour descriptors with stage, status and intensity."""

from __future__ import annotations

from typing import Any

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.types import Descriptor, Passage


def read_descriptors(
    analysis: Analysis, passages: tuple[Passage, ...], lexicon: Lexicon, weights: Any | None = None
) -> tuple[Descriptor, ...]:
    """Flavours said of this cigar, one entry per term and stage."""
    from voicedraft.read.descriptors.reader import read

    return read(analysis, passages, lexicon, weights)
