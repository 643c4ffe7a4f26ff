"""The learned part: which sentences talk of pairings, and the tags of their words. One small file, made by training."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np

from voicedraft.read.pairings.role import INPUTS
from voicedraft.read.pairings.tokens import Floats
from voicedraft.read.vectors import DIMENSIONS
from voicedraft.weight_file import FOLDER, named, put

TAKEN, TAKEN_LISTED = 0.5, 0.0
"""Chance of a word's being in a pairing from which it is read as one, for any word and for a listed drink or food: a
listed one is always looked at, and what is made of it is decided by its words and roles."""
FILE = FOLDER / "pairings.zip"


@dataclass(frozen=True, eq=False)
class PairingWeights:
    """`talk` (768,) and `bias`: log-odds that a sentence talks of pairings, from its own vector and its neighbours'.

    `probe` (3, 385): a token vector's log-odds of naming neither, a drink, a food; the last column is the bias.
    `role` (3, INPUTS + 1): log-odds that a name is only mentioned, wanted, refused; the last column is the bias.
    `known`: words seen by name. `tagger`: a crfsuite model's bytes.
    """

    talk: Floats
    bias: float
    probe: Floats
    role: Floats
    known: frozenset[str]
    tagger: bytes

    def chances(self, vectors: Floats) -> Floats:
        """Chance that each sentence talks of pairings, from (n, 384) sentence vectors."""
        logits = surroundings(vectors) @ self.talk + self.bias
        return np.asarray(1.0 / (1.0 + np.exp(-logits)), np.float32)


def probed(vectors: Floats, probe: Floats) -> Floats:
    """(n, 3) chances that each token of (n, 384) names neither, a drink, a food."""
    logits = vectors @ probe[:, :-1].T + probe[:, -1]
    odds = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=1, keepdims=True), np.float32)


def roles(inputs: Floats, weights: PairingWeights) -> Floats:
    """(3,) chances that a name is only mentioned, wanted, refused."""
    logits = weights.role[:, :-1] @ inputs + weights.role[:, -1]
    odds = np.exp(logits - logits.max())
    return np.asarray(odds / odds.sum(), np.float32)


def surroundings(vectors: Floats) -> Floats:
    """(n, 768): each sentence's vector, and the mean of those one before and one after."""
    n = len(vectors)
    if not n:
        return np.zeros((0, 768), np.float32)
    before, after = vectors[[0, *range(n - 1)]], vectors[[*range(1, n), n - 1]]
    return np.concatenate([vectors, (before + after) / 2], axis=1)


class Tagger:
    """Viterbi tags of a sentence and how sure each is."""

    def __init__(self, weights: PairingWeights) -> None:
        import pycrfsuite

        self._tagger: Any = pycrfsuite.Tagger()
        self._tagger.open_inmemory(weights.tagger)

    def tags(self, rows: Sequence[list[str]], listed: Sequence[bool]) -> list[tuple[str, float]]:
        """("B", "I" or "O", chance of a pairing) of each token.

        listed: whether the token is of a listed drink or food, so that `TAKEN_LISTED` is enough to read one.
        """
        if not rows:
            return []
        self._tagger.set(list(rows))
        out = []
        for i in range(len(rows)):
            chance = 1.0 - float(self._tagger.marginal("O", i))
            begins = float(self._tagger.marginal("B", i)) >= chance / 2
            needed = TAKEN_LISTED if listed[i] else TAKEN
            out.append(("O" if chance < needed else "B" if begins else "I", chance))
        return out


def save(weights: PairingWeights, file: Path) -> None:
    """Write the weights; equal weights give equal bytes (fixed order and dates)."""
    parts = {
        "talk": weights.talk.astype("<f4").tobytes(), "bias": np.array([weights.bias], "<f8").tobytes(),
        "probe": weights.probe.astype("<f4").tobytes(), "role": weights.role.astype("<f4").tobytes(),
        "known": json.dumps(sorted(weights.known)).encode(),
        "tagger": weights.tagger,
    }
    with zipfile.ZipFile(file, "w", zipfile.ZIP_LZMA) as archive:
        for name, data in parts.items():
            put(archive, name, data)


def load(file: Path) -> PairingWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    with named("pairings", file):
        with zipfile.ZipFile(file) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        return PairingWeights(
            talk=np.frombuffer(parts["talk"], "<f4"), bias=float(np.frombuffer(parts["bias"], "<f8")[0]),
            probe=np.frombuffer(parts["probe"], "<f4").reshape(3, DIMENSIONS + 1),
            role=np.frombuffer(parts["role"], "<f4").reshape(3, INPUTS + 1),
            known=frozenset(json.loads(parts["known"])),
            tagger=parts["tagger"],
        )


@lru_cache(maxsize=1)
def shipped() -> PairingWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
