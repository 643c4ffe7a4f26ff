"""How words sound, roughly, by lexicon/sounds.toml, and how alike two of them sound."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from rapidfuzz import fuzz

from voicedraft.hear.repair.sound import fold

_SILENT_E = "(?=(?:[bcdfghjklmnpqrstvwxz]|ch|th|st)(?:e(?:d|s|r|rs|ly)?|ing|er|ers)#)"
_FINE = str.maketrans({"A": "o", "O": "o", "Q": "o", "U": "u", "I": "i", "V": "@", "E": "e", "X": "oi", "Y": "ai",
                       "W": "au", "D": "T"})
"""Vowels that one accent tells apart and another does not are one."""
_COARSE = str.maketrans({"b": "p", "d": "t", "g": "k", "v": "f", "z": "s", "Z": "S", "J": "C", "T": "t", "N": "n",
                         "e": "i", "u": "o", "a": "@"})
"""Voiced and voiceless consonants are one, and vowels made in the same part of the mouth."""
SHARES = (0.4, 0.4, 0.2)
"""What likeness by sound is made of: fine sounds, coarse sounds, letters. Our own choice by hand, no outside source."""
_Rule = tuple["re.Pattern[str] | None", str, "re.Pattern[str] | None", str]


class Sounds:
    """The rules, each word read once. Words are folded; several words are run together."""

    def __init__(self, table: Mapping[str, Any]) -> None:
        self._rules: dict[str, list[_Rule]] = {}
        for line in table.get("rules", ()):
            before, letters, after, sounds = line.split("|")
            after = _SILENT_E if after == "silent e" else after
            left, right = (re.compile(p) if p else None for p in (before and f"(?:{before})$", after))
            self._rules.setdefault(letters[0], []).append((left, letters, right, sounds))
        self._known: dict[str, str] = dict(table.get("words", {}))

    def word(self, word: str) -> str:
        """The sounds of one folded word."""
        found = self._known.get(word)
        if found is None:
            found = self._known[word] = self._read(f"#{word.replace(chr(39), '')}#")
        return found

    def _read(self, word: str) -> str:
        at, out = 1, []
        while at < len(word) - 1:
            for before, letters, after, sounds in self._rules.get(word[at], ()):
                if (word.startswith(letters, at) and (after is None or after.match(word, at + len(letters)))
                        and (before is None or before.search(word[:at]))):
                    out.append(sounds)
                    at += len(letters)
                    break
            else:
                at += 1
        return "".join(out)

    def fine(self, text: str) -> str:
        """The sounds of a text without what accents differ in: no r before a consonant, doubled sounds once."""
        said = "".join(self.word(w) for w in fold(text).split()).translate(_FINE)
        return re.sub(r"(.)\1+", r"\1", re.sub(r"r(?![aeiou@])", "", said))

    def likeness(self, one: str, other: str) -> float:
        """0 to 1, by SHARES of rapidfuzz's ratio; both folded, one word each."""
        a, b = self.fine(one), self.fine(other)
        rows = ((a, b), (self.coarse(a), self.coarse(b)), (one, other))
        return sum(share * float(fuzz.ratio(*row)) / 100 for share, row in zip(SHARES, rows, strict=True))

    @staticmethod
    def coarse(fine: str) -> str:
        """What is left of `fine` where voice and near vowels do not count."""
        return re.sub(r"(.)\1+", r"\1", fine.translate(_COARSE))
