"""Nouns that a dictionary knows: of things (lexicon/things.txt), and of what is eaten or grows (lexicon/eaten.txt)."""

from __future__ import annotations

from functools import cache

from voicedraft.data import lexicon_dir
from voicedraft.errors import LexiconError


@cache
def things() -> frozenset[str]:
    """Nouns that name nothing to eat or drink, singular, lower case. Raises LexiconError where the file is missing."""
    return _words("things.txt")


@cache
def eaten() -> frozenset[str]:
    """Nouns of food, plants and animals, singular, lower case. Raises LexiconError where the file is missing."""
    return _words("eaten.txt")


def _words(name: str) -> frozenset[str]:
    try:
        lines = (lexicon_dir() / name).read_text(encoding="ascii").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise LexiconError(f"The lexicon file {name} cannot be read ({error}). Install voicedraft again.") from error
    return frozenset(line for line in lines if not line.startswith("#"))
