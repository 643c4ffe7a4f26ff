"""The learned model that facts, scores and strength share: what may be something is weighed by the signs around it.

For each role (the price of one, the ring gauge, the mark of an aspect …) the candidates of a session and "none of them"
compete: the chances are a softmax over the candidates' weights and 0 for none (conditional logit). A candidate weighs
the sum of its signs, and its vector (what the sentence encoder made of its words where they stand) along the role's.
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from voicedraft.weight_file import named, put

Floats = npt.NDArray[np.float32]
_BIAS = ""


@dataclass(frozen=True, eq=False)
class SignWeights:
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


def packed(told: Mapping[str, Any]) -> bytes:
    """JSON of equal bytes for equal tables."""
    return json.dumps(told, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()


def save(weights: SignWeights, file: Path) -> None:
    """Write weights without vectors, as they are; equal weights give equal bytes (fixed order and date)."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        put(archive, "roles.json", packed({role: dict(table) for role, table in weights.roles.items()}))


def load(part: str, file: Path) -> SignWeights:
    """Read what `save` wrote. Raises ModelError naming the part and the file where it is missing or broken."""
    with named(part, file), zipfile.ZipFile(file) as archive:
        return SignWeights(json.loads(archive.read("roles.json")))
