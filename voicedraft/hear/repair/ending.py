"""A flavour of several words whose first was heard with another ending: "burned orange peel", "dry apricot"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from voicedraft.hear.repair.context import Frames
from voicedraft.hear.repair.listed import Listed, Words
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
        names: dict[Words, str] = {}
        for form in sorted(forms):
            first, *rest = form.split()
            for right, wrong in _TURNED:
                stem = first.removesuffix(right)
                heard = f"{stem}{wrong}"
                if not first.endswith(right) or len(stem) < 2 or " ".join((heard, *rest)) in forms:
                    continue
                if right or heard not in words:
                    names.setdefault((heard, *rest), forms[form])
        self._listed = Listed(names)

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each such name; see `Proposer`."""
        for place, _, right, owns in self._listed.found(words, stops):
            before = place.before()
            if odds[place.first] <= SURE and (
                not before or before in _LEADS or self._frames.fits(place, "flavours")
            ):
                yield Proposal(place.first, place.last, right + owns, CONFIDENCE, f"“{right}” with another ending")
