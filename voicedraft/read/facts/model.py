"""The learned part: what each number is, weighed by the signs around it. One small file, made by training.

For each role (the price of one, the ring gauge, …) the candidates of a session and "none of them" compete: the chances
are a softmax over the candidates' weights and 0 for none (conditional logit).
"""

from __future__ import annotations

import json
import zipfile
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from voicedraft.errors import ModelError

FILE = Path(__file__).resolve().parents[1] / "weights" / "facts.zip"
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
        entry = zipfile.ZipInfo("roles.json", date_time=(1980, 1, 1, 0, 0, 0))
        entry.compress_type = zipfile.ZIP_DEFLATED
        archive.writestr(entry, data, compresslevel=9)


def load(file: Path) -> FactWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    try:
        with zipfile.ZipFile(file) as archive:
            return FactWeights(json.loads(archive.read("roles.json")))
    except (OSError, ValueError, KeyError, IndexError, TypeError, zipfile.BadZipFile, zlib.error) as error:
        raise ModelError(f"The fact weights {file.name} cannot be read ({error}). Install voicedraft again, or run "
                         "`python -m voicedraft.train facts` in a checkout.") from error


@lru_cache(maxsize=1)
def shipped() -> FactWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
