"""A flavour of several words whose first was heard with another ending: "burned orange peel", "dry apricot"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from voicedraft.hear.repair.context import Frames, Place
from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold
from voicedraft.lexicon import Lexicon

CONFIDENCE, SURE = 0.9, 0.8
"""The second: probability from which the first word was said as it was heard; our own choice."""
_TURNED = (("nt", "ned"), ("lt", "lled"), ("ied", "y"), ("ed", ""), ("ed", "e"), ("", "ed"), ("e", "ed"), ("y", "ied"))
"""Ending of a flavour's first word, and how it is heard: burnt, burned; dried, dry; malted, malt; smoked, smoke. A "-t"
or "-d" before a consonant is often not spoken."""
_LEADS = frozenset(("there's", "it's", "that's", "is", "says", "and", "with", "then", "no"))
"""Words behind which a flavour is named, besides those of `Frames`; behind others the first word may be a verb: "they
dry apricots"."""


class Ending:
    """The lexicon's flavours of several words by how their first may be heard."""

    def __init__(self, lexicon: Lexicon, frames: Frames) -> None:
        self._frames = frames
        forms = {fold(form): form for form in lexicon.forms if " " in form}
        words = {w for form in lexicon.forms for w in fold(form).split()}
        self._right: dict[tuple[str, ...], str] = {}
        for form in sorted(forms):
            first, *rest = form.split()
            for right, wrong in _TURNED:
                stem = first.removesuffix(right)
                heard = f"{stem}{wrong}"
                if not first.endswith(right) or len(stem) < 2 or " ".join((heard, *rest)) in forms:
                    continue
                if right or heard not in words:
                    self._right.setdefault((heard, *rest), forms[form])
        self._longest = max(map(len, self._right), default=0)

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each such name; see `Proposer`."""
        for first in range(len(words)):
            if odds[first] > SURE:
                continue
            for last in range(first + 2, min(first + self._longest, len(words)) + 1):
                heard = (*words[first : last - 1], words[last - 1].removesuffix("'s"))
                right = self._right.get(heard)
                if right is None or stops.intersection(range(first, last - 1)):
                    continue
                place = Place(words, stops, first, last)
                if place.before() in _LEADS or not place.before() or self._frames.fits(place, "flavours"):
                    owns = "'s" if heard != tuple(words[first:last]) else ""
                    yield Proposal(first, last, right + owns, CONFIDENCE, f"“{right}” with another ending")
