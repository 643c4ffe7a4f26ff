"""Makes lexicon/things.txt and lexicon/eaten.txt, nouns that name nothing to eat or drink and those of food, plants and
animals, from the noun file of WordNet 3.0.

    python -m voicedraft.train.things DATA_NOUN    data.noun of Debian's wordnet-base

Source: WordNet 3.0, Princeton University (Fellbaum 1998, WordNet: An Electronic Lexical Database). Every sense of a
noun stands in one of its lexicographer files; a word is a thing where none of its senses is of food, plants or animals.
"""

from __future__ import annotations

import sys
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

from voicedraft.data import lexicon_dir

EATEN = frozenset({5, 13, 20})
"""noun.animal, noun.food and noun.plant, as lexnames(5WN) numbers them."""
SHORTEST = 3
"""Letters of the shortest word kept."""
_THINGS = """\
# Nouns that name nothing to eat or drink, made by voicedraft/train/things.py from WordNet 3.0 (noun.food, noun.plant
# and noun.animal left out). """
_EATEN = """\
# Nouns of food, plants and animals, made by voicedraft/train/things.py from WordNet 3.0 (noun.food, noun.plant and
# noun.animal). """
_LICENCE = """\
WordNet 3.0 Copyright 2006 by Princeton University. All rights reserved. It is provided
# "as is", without representations or warranties; permission to use, copy, modify and distribute it is granted by the
# WordNet 3.0 license, which asks that this notice stays. The name of Princeton University is not used to advertise.
"""


def things(lines: Iterable[str]) -> list[str]:
    """What can neither be eaten nor drunk, in alphabetical order, from the lines of data.noun (layout: wndb(5WN))."""
    return sorted(word for word, files in _senses(lines).items() if files.isdisjoint(EATEN))


def eaten(lines: Iterable[str]) -> list[str]:
    """Food, plants and animals, likewise."""
    return sorted(word for word, files in _senses(lines).items() if not files.isdisjoint(EATEN))


def _senses(lines: Iterable[str]) -> dict[str, set[int]]:
    """The lexicographer files of each word."""
    senses: dict[str, set[int]] = defaultdict(set)
    for line in lines:
        if line.startswith(" "):  # The licence at the head of the file.
            continue
        fields = line.split(" ")
        for at in range(int(fields[3], 16)):
            senses[fields[4 + 2 * at]].add(int(fields[1]))
    return {
        word: files for word, files in senses.items()
        if word.isalpha() and word.isascii() and word.islower() and len(word) >= SHORTEST
    }


def main() -> int:
    """Write the lists beside the rest of the lexicon."""
    if len(sys.argv) != 2:
        print("python -m voicedraft.train.things DATA_NOUN: name the noun file of WordNet 3.0.", file=sys.stderr)
        return 2
    lines = Path(sys.argv[1]).read_text(encoding="ascii").splitlines()
    for name, head, words in (("things", _THINGS, things(lines)), ("eaten", _EATEN, eaten(lines))):
        file = lexicon_dir() / f"{name}.txt"
        file.write_text(head + _LICENCE + "\n".join(words) + "\n", encoding="ascii")
        print(f"{file.name}: {len(words):,} words")
    return 0


if __name__ == "__main__":
    sys.exit(main())
