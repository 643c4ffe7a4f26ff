"""The learned weights of facts: what each number, size name, leaf, country and name is.

One small file, made by training.
"""

from __future__ import annotations

import json
import zipfile
from functools import lru_cache
from pathlib import Path

import numpy as np

from voicedraft.read.sign_weights import SignWeights, packed
from voicedraft.read.vectors import DIMENSIONS
from voicedraft.weight_file import FOLDER, named, put

FILE = FOLDER / "facts.zip"
_STEPS = 127
"""Steps on either side of zero in which a vector is kept: one byte a number."""


def save(weights: SignWeights, file: Path) -> None:
    """Write the weights, rounded; equal weights give equal bytes (fixed order and date)."""
    names = sorted(weights.vectors)
    longest = {name: float(np.abs(weights.vectors[name]).max()) or 1.0 for name in names}
    steps = np.array([np.round(weights.vectors[name] / longest[name] * _STEPS) for name in names], np.int8)
    told = {
        "roles": {role: {s: round(w, _PLACES) for s, w in table.items()} for role, table in weights.roles.items()},
        "longest": {name: round(x, 6) for name, x in longest.items()},
    }
    with zipfile.ZipFile(file, "w", zipfile.ZIP_LZMA) as archive:
        put(archive, "vectors", steps.tobytes())
        put(archive, "roles.json", packed(told))


_PLACES = 2
"""Decimal places of the log-odds that are kept."""


def load(file: Path) -> SignWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    with named("facts", file), zipfile.ZipFile(file) as archive:
        told = json.loads(archive.read("roles.json"))
        steps = np.frombuffer(archive.read("vectors"), np.int8).reshape(-1, DIMENSIONS)
        vectors = {
            name: (row * np.float32(longest / _STEPS)).astype(np.float32)
            for (name, longest), row in zip(sorted(told["longest"].items()), steps, strict=True)
        }
        return SignWeights(told["roles"], vectors)


@lru_cache(maxsize=1)
def shipped() -> SignWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
