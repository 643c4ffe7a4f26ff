"""The learned weights of scores: which number is whose mark, which number is a scale, and which scale a mark stands on.

One small file, made by training.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from voicedraft.read import sign_weights
from voicedraft.read.sign_weights import SignWeights
from voicedraft.weight_file import FOLDER

FILE = FOLDER / "scores.zip"
MARK, TOP, SCALE = "mark", "top", "scale"
"""The roles: a number as the mark of an aspect, a number as a scale, a scale as that of a mark."""


def load(file: Path) -> SignWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    return sign_weights.load("scores", file)


@lru_cache(maxsize=1)
def shipped() -> SignWeights:
    """The weights that come with the program, read once."""
    return load(FILE)
