"""Nouns that a dictionary knows and that name nothing to eat or drink: lexicon/things.txt."""

from __future__ import annotations

from functools import cache

from voicedraft.data import lexicon_dir
from voicedraft.errors import LexiconError
from voicedraft.read.pairings.tokens import Token


@cache
def things() -> frozenset[str]:
    """The words, singular and lower case. Raises LexiconError where the file is missing."""
    try:
        lines = (lexicon_dir() / "things.txt").read_text(encoding="ascii").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        reason = f"The lexicon file things.txt cannot be read ({error}). Install voicedraft again."
        raise LexiconError(reason) from error
    return frozenset(line for line in lines if not line.startswith("#"))


def a_thing(token: Token) -> bool:
    """Whether an unlisted word can be neither eaten nor drunk: "mitten", "a broke fence", "floor polish".

    A word that the dictionary does not know may be anything, and so may a name with a capital.
    """
    return token.pos != "PROPN" and not token.mark and (token.lower in things() or token.lemma in things())
