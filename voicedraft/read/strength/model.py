"""The learned weights of strength: which third each remark on it is of.

The same kind of model as that of the facts (conditional logit over signs); one small file, made by training.
"""

from __future__ import annotations

import json
import zipfile
from functools import lru_cache
from pathlib import Path

from voicedraft.read.facts.model import FactWeights
from voicedraft.read.weight_file import FOLDER, named, put

FILE = FOLDER / "strength.zip"
ORDER = "order"
"""The one role: a placement of all remarks of a session."""

StrengthWeights = FactWeights
"""Role → sign → weight in log-odds."""


def save(weights: StrengthWeights, file: Path) -> None:
    """Write the weights; equal weights give equal bytes (fixed order and date)."""
    roles = {role: dict(table) for role, table in weights.roles.items()}
    data = json.dumps(roles, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        put(archive, "roles.json", data)


def load(file: Path) -> StrengthWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    with named("strength", file), zipfile.ZipFile(file) as archive:
        return FactWeights(json.loads(archive.read("roles.json")))


@lru_cache(maxsize=1)
def shipped() -> StrengthWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
