"""The learned weights of strength: which third each remark on it is of.

One small file, made by training.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from voicedraft.read import sign_weights
from voicedraft.read.sign_weights import SignWeights
from voicedraft.weight_file import FOLDER

FILE = FOLDER / "strength.zip"
ORDER = "order"
"""The one role: a placement of all remarks of a session."""


def load(file: Path) -> SignWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    return sign_weights.load("strength", file)


@lru_cache(maxsize=1)
def shipped() -> SignWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
