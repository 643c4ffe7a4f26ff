"""Words among which one is no English word, and that together sound just like a flavour of several words: "or in joyle"
for orange oil."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rapidfuzz import fuzz, process

from voicedraft.hear.repair.context import Place
from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold, key, likeness
from voicedraft.hear.repair.unknown import LEAST_SURE, RANKED, Unknown
from voicedraft.lexicon import Lexicon

SHORTEST, LONGEST = 3, 4
"""Words that are put together; our own choice. Two, or one, are a rare word that is meant too often ("radiator", "old
gouda": fourteen wrong repairs in 235,000 words of annotated sessions, none with three)."""
LEAST_KEY, LEAST_SPELT = 4, 0.55
"""Sounds of a key, and likeness of the letters, from which equal keys tell something: a key drops all vowels but the
first; our own choice."""
LEAST_BOTH = 0.88
"""Likeness, the mean of spelling's and sound's, from which an unsure word and the one beside it are a flavour of
several words, whatever their key: "cherrycoff drop"; our own choice, likewise."""
_SMALL = frozenset(("the", "to", "a", "an", "in", "of", "and", "it", "is", "that", "this", "we", "i", "at", "from"))
_FATE = frozenset(("is", "has", "was", "comes", "came"))


class Sounded:
    """Compares runs of words by their Metaphone key with the lexicon's flavours of several words."""

    def __init__(self, lexicon: Lexicon, unknown: Unknown) -> None:
        self._unknown = unknown
        self._names: dict[str, list[str]] = {}
        forms = sorted(f for f, entry in lexicon.forms.items() if " " in f and not entry.term.ambiguous)
        self._joined = {form: fold(form).replace(" ", "") for form in forms}
        for form, entry in lexicon.forms.items():
            if " " in form and not entry.term.ambiguous and len(key(form)) >= LEAST_KEY:
                self._names.setdefault(key(form), []).append(form)

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each such run where a flavour stands, or where its fate is told; see `Proposer`."""
        for at, word in enumerate(words):
            if not self._unknown.is_unknown(word):
                continue
            for first in range(max(0, at - LONGEST + 1), at + 1):
                for last in range(max(at + 1, first + SHORTEST), min(len(words), first + LONGEST) + 1):
                    found = self._judge(words, stops, first, last)
                    if found is not None:
                        yield found
            if odds[at] <= LEAST_SURE:
                for first in (at - 1, at):
                    found = self._beside(words, stops, first) if 0 <= first < len(words) - 1 else None
                    if found is not None:
                        yield found

    def _beside(self, words: Sequence[str], stops: frozenset[int], first: int) -> Proposal | None:
        heard = f"{words[first]} {words[first + 1]}"
        if first in stops or heard in self._joined or not _SMALL.isdisjoint(words[first : first + 2]):
            return None
        run, both = heard.replace(" ", ""), set(words[first : first + 2])
        near = process.extract(run, self._joined, scorer=fuzz.ratio, limit=RANKED)
        like, name = max(((self._unknown.alike(run, joined), form) for joined, _, form in near), default=(0.0, ""))
        halves = fold(name).split()
        if like < LEAST_BOTH or (len(halves) == len(both) and not both.isdisjoint(halves)):  # See `Half`.
            return None
        return Proposal(first, first + 2, name, like, f"no English word; together they sound and look like “{name}”")

    def _judge(self, words: Sequence[str], stops: frozenset[int], first: int, last: int) -> Proposal | None:
        if stops.intersection(range(first, last - 1)):
            return None
        heard = " ".join(words[first:last])
        names = self._names.get(key(heard), ())
        best = max(names, key=lambda n: _letters(heard, n), default=None)
        if best is None or _letters(heard, best) < LEAST_SPELT:
            return None
        place = Place(words, stops, first, last)
        if not (self._unknown.frames.fits(place, "flavours") or (not place.before() and place.after() in _FATE)):
            return None
        return Proposal(first, last, best, likeness(heard, best), f"no English words; they sound like “{best}”")


def _letters(heard: str, name: str) -> float:
    return float(fuzz.ratio(fold(heard).replace(" ", ""), fold(name).replace(" ", ""))) / 100
