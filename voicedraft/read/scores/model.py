"""The learned weights of scores: which number is whose mark, which number is a scale, and which scale a mark stands on.

The same kind of model as that of the facts (conditional logit over signs); one small file, made by training.
"""

from __future__ import annotations

import json
import zipfile
from functools import lru_cache
from pathlib import Path

from voicedraft.read.facts.model import FactWeights
from voicedraft.read.weight_file import FOLDER, named, put

FILE = FOLDER / "scores.zip"
MARK, TOP, SCALE = "mark", "top", "scale"
"""The roles: a number as the mark of an aspect, a number as a scale, a scale as that of a mark."""

ScoreWeights = FactWeights
"""Role → sign → weight in log-odds."""


def save(weights: ScoreWeights, file: Path) -> None:
    """Write the weights, rounded; equal weights give equal bytes (fixed order and date)."""
    roles = {role: {s: round(w, 2) for s, w in table.items()} for role, table in weights.roles.items()}
    data = json.dumps(roles, sort_keys=True, ensure_ascii=False, separators=(",", ":")).encode()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        put(archive, "roles.json", data)


def load(file: Path) -> ScoreWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    with named("scores", file), zipfile.ZipFile(file) as archive:
        return FactWeights(json.loads(archive.read("roles.json")))


@lru_cache(maxsize=1)
def shipped() -> ScoreWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
