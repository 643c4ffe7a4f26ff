"""Where the program's own data lies: the lexicon and the model manifest, in a checkout and in an installed wheel."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from voicedraft.errors import LexiconError

_PACKAGE = Path(__file__).resolve().parent


@cache
def data_dir(name: str) -> Path:
    """Folder `name` ("lexicon" or "models"): inside the wheel as voicedraft/_data/NAME, else beside the package.

    Raises LexiconError where neither exists.
    """
    for folder in (_PACKAGE / "_data" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise LexiconError(f"The program's {name} folder is missing. Install voicedraft again.")


def lexicon_dir() -> Path:
    """Folder of the shipped lexicon's TOML files."""
    return data_dir("lexicon")


def manifest_path() -> Path:
    """The manifest of speech and language models."""
    return data_dir("models") / "manifest.toml"
