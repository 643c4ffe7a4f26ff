"""The learned part: what each number is, weighed by the signs around it. One small file, made by training.

For each role (the price of one, the ring gauge, …) the candidates of a session and "none of them" compete: the chances
are a softmax over the candidates' weights and 0 for none (conditional logit).
"""

from __future__ import annotations

import json
import zipfile
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from voicedraft.read.weight_file import FOLDER, named, put

FILE = FOLDER / "facts.zip"
_BIAS = ""


@dataclass(frozen=True, eq=False)
class FactWeights:
    """Role → sign → weight in log-odds; the sign "" is what any candidate of the role starts from."""

    roles: Mapping[str, Mapping[str, float]]

    def weigh(self, role: str, signs: Iterable[str]) -> float:
        """Log-odds of a candidate with these signs against "none of them"."""
        table = self.roles.get(role)
        if table is None:
            return float("-inf")
        return table.get(_BIAS, 0.0) + sum(table.get(s, 0.0) for s in signs)

    def reasons(self, role: str, signs: Iterable[str], most: int = 3) -> list[tuple[str, float]]:
        """The signs that spoke most for the role, with their weights."""
        table = self.roles.get(role, {})
        told = [(s, table[s]) for s in signs if table.get(s, 0.0) > 0]
        return sorted(told, key=lambda pair: (-pair[1], pair[0]))[:most]


def save(weights: FactWeights, file: Path) -> None:
    """Write the weights, rounded; equal weights give equal bytes (fixed order and date)."""
    roles = {role: {s: round(w, 3) for s, w in table.items()} for role, table in weights.roles.items()}
    data = json.dumps(roles, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        put(archive, "roles.json", data)


def load(file: Path) -> FactWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    with named("facts", file), zipfile.ZipFile(file) as archive:
        return FactWeights(json.loads(archive.read("roles.json")))


@lru_cache(maxsize=1)
def shipped() -> FactWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
