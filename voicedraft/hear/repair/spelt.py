"""A flavour's name in another spelling than the lexicon's own: "sugar cane", "fruitcake", "gingernut".

The recogniser's spelling is chance; the lexicon's is the one in which the flavour stands in all reviews.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rapidfuzz import fuzz

from voicedraft.hear.repair.context import Frames
from voicedraft.hear.repair.listed import Listed, Words
from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold
from voicedraft.hear.repair.unknown import english_words
from voicedraft.hear.sounds import Sounds
from voicedraft.lexicon import Lexicon, plural

CONFIDENCE, GUESSED = 0.96, 0.85
"""For a spelling that the lexicon lists, and for a name of several words that is written as one."""
LEAST_ALIKE, LEAST_SPELT = 0.85, 40
"""Likeness from which two forms of a flavour that sound the same are one word, and rapidfuzz's ratio (0 to 100) under
which that is not asked; our own choice, on the lexicon's."""
_DRINK = "drink"
"""A family that keeps what was heard: how whisky and genever are spelt tells where they come from."""
_VERBS = frozenset(("saw", "smoke", "wax", "camp", "dry", "sweet"))
"""Halves that may as well be words of their own: "my wife saw dust", "I never smoke house blends"."""
NEAR = 4
"""Words on either side in which another flavour tells that a name of several words that is written as one is a flavour;
our own choice."""


class Spelt:
    """The lexicon's forms that are another spelling of their term: the same letters, or the same sounds."""

    def __init__(self, lexicon: Lexicon, frames: Frames) -> None:
        self._frames = frames
        sounds = Sounds(lexicon.tables.get("sounds", {}))
        names: dict[Words, str] = {}
        self._guessed: set[Words] = set()
        for form, entry in lexicon.forms.items():
            heard, term = fold(form), fold(entry.term.term)
            if entry.kind != "synonym" or heard == term or entry.term.ambiguous or entry.term.family == _DRINK:
                continue
            if _same(sounds, _run(heard), _run(term)):
                names[tuple(heard.split())] = entry.term.term
                names.setdefault(tuple(plural(heard).split()), plural(entry.term.term))
        forms, english = {fold(form) for form in lexicon.forms}, english_words()
        for form in lexicon.forms:
            if " " in form and (one := _run(fold(form))) not in forms and one not in english:
                names.setdefault((one,), form)
                self._guessed.add((one,))
        self._listed = Listed(names)

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each such spelling; see `Proposer`."""
        for place, heard, right, owns in self._listed.found(words, stops):
            guessed = heard in self._guessed
            doubtful = guessed or not _VERBS.isdisjoint(heard[:-1] if " " in right else heard)
            around = (*words[max(0, place.first - NEAR) : place.first], *words[place.last : place.last + NEAR])
            beside = guessed and not self._frames.flavours.isdisjoint(around)
            if not doubtful or beside or self._frames.fits(place, "flavours"):
                sure = GUESSED if guessed else CONFIDENCE
                yield Proposal(place.first, place.last, right + owns, sure, f"another spelling of “{right}”")


def _run(text: str) -> str:
    return text.replace(" ", "").replace("'", "")


def _same(sounds: Sounds, one: str, other: str) -> bool:
    if one == other or fuzz.ratio(one, other) < LEAST_SPELT:
        return one == other
    return sounds.fine(one) == sounds.fine(other) and sounds.likeness(one, other) > LEAST_ALIKE
