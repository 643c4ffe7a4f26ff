"""Analyses of sessions that are studied again and again: the grammar of a sentence is kept for good, its vectors as
long as the encoder stays the same."""

from __future__ import annotations

from typing import Any

from voicedraft.read.analysis import Analysis, analyse, encoder, tuning
from voicedraft.read.in_use import InUse
from voicedraft.read.sentences import split
from voicedraft.read.tuning import Tuning
from voicedraft.read.vectors import Encoded
from voicedraft.types import Transcript


class Kept:
    """What was analysed before, by the text of its sentences."""

    def __init__(self) -> None:
        self._docs: dict[tuple[str, ...], tuple[Any, ...]] = {}
        self._vectors: dict[tuple[str, ...], list[Encoded]] = {}
        self._of: Tuning | None = None

    def analyse(self, transcript: Transcript) -> Analysis:
        """The same as `voicedraft.read.analysis.analyse`."""
        sentences = split(transcript)
        texts = tuple(s.text for s in sentences)
        if self._of is not tuning():
            self._of, self._vectors = tuning(), {}
        if texts not in self._docs:
            found = analyse(transcript)
            self._docs[texts], self._vectors[texts] = found.docs, list(found.encoded)
        if texts not in self._vectors:
            self._vectors[texts] = encoder().encode(texts)
        return Analysis(transcript, sentences, self._docs[texts], self._vectors[texts])


kept: InUse[Kept | None] = InUse(lambda: None)
"""Where analyses are kept; nowhere unless many fits are made."""


def analysed(transcript: Transcript) -> Analysis:
    """The analysis of a transcript, made now or kept from before. Raises ModelError where a model is missing."""
    store = kept()
    return analyse(transcript) if store is None else store.analyse(transcript)
