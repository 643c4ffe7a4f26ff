"""The learned part: what each number is, weighed by the signs around it. One small file, made by training.

For each role (the price of one, the ring gauge, …) the candidates of a session and "none of them" compete: the chances
are a softmax over the candidates' weights and 0 for none (conditional logit). A candidate weighs the sum of its signs,
and its vector (what the sentence encoder made of its words where they stand) along the role's own.
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from voicedraft.read.vectors import DIMENSIONS
from voicedraft.read.weight_file import FOLDER, named, put

Floats = npt.NDArray[np.float32]
FILE = FOLDER / "facts.zip"
_BIAS = ""
_STEPS = 127
"""Steps on either side of zero in which a vector is kept: one byte a number."""


@dataclass(frozen=True, eq=False)
class FactWeights:
    """Role → sign → weight in log-odds; the sign "" is what any candidate of the role starts from.

    `vectors`: role → (384,) log-odds along the candidate's vector; roles without one are weighed by signs alone.
    """

    roles: Mapping[str, Mapping[str, float]]
    vectors: Mapping[str, Floats] = field(default_factory=dict)

    def weigh(self, role: str, signs: Iterable[str], vector: Floats | None = None) -> float:
        """Log-odds of a candidate with these signs and this vector against "none of them"."""
        table = self.roles.get(role)
        if table is None:
            return float("-inf")
        along = self.vectors.get(role)
        told = 0.0 if along is None or vector is None else float(along @ vector)
        return table.get(_BIAS, 0.0) + sum(table.get(s, 0.0) for s in signs) + told

    def reasons(self, role: str, signs: Iterable[str], most: int = 3) -> list[tuple[str, float]]:
        """The signs that spoke most for the role, with their weights."""
        table = self.roles.get(role, {})
        told = [(s, table[s]) for s in signs if table.get(s, 0.0) > 0]
        return sorted(told, key=lambda pair: (-pair[1], pair[0]))[:most]


def save(weights: FactWeights, file: Path) -> None:
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
        put(archive, "roles.json", json.dumps(told, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode())


_PLACES = 2
"""Decimal places of the log-odds that are kept."""


def load(file: Path) -> FactWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    with named("facts", file), zipfile.ZipFile(file) as archive:
        told = json.loads(archive.read("roles.json"))
        steps = np.frombuffer(archive.read("vectors"), np.int8).reshape(-1, DIMENSIONS)
        vectors = {
            name: (row * np.float32(longest / _STEPS)).astype(np.float32)
            for (name, longest), row in zip(sorted(told["longest"].items()), steps, strict=True)
        }
        return FactWeights(told["roles"], vectors)


@lru_cache(maxsize=1)
def shipped() -> FactWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
