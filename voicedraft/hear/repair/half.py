"""A flavour of two words of which one was heard right and the other, doubtful, sounds like what it should be: "pencil
shadings", "i'malted milk"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from voicedraft.hear.repair.context import Place
from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold
from voicedraft.hear.repair.unknown import LEAST_SURE, Unknown
from voicedraft.hear.sounds import Sounds
from voicedraft.lexicon import Lexicon

if TYPE_CHECKING:
    from voicedraft.hear.habit import Habit

LEAST = {"english": (0.77, 5.0), "unknown": (0.68, 6.5), "placed": (0.85, 0.5)}
"""Likeness by sound (0 to 1) of the doubtful word and the one that the flavour has, and nats by which the trade would
rather say the flavour: for an English word, for one that no English reader knows ("hella honey"), and for any where a
flavour stands, even of another flavour's name ("a hint of swede glove"). Our own choice, on annotated sessions read as
they stand (benchmarks/wrong_repairs.py) and on misses of synthesised ones."""
DOUBT = 0.6
"""Probability under which an English word is doubtful; ours, likewise."""
LEAST_LETTERS = 4
"""Of either word; shorter ones sound like anything."""

_END = "</s>"
"""How `habit` counts the beginning of a sentence."""


class Half:
    """Compares pairs of words with the lexicon's flavours of two words."""

    def __init__(self, lexicon: Lexicon, unknown: Unknown, habit: Path | None = None) -> None:
        self._unknown, self._lexicon, self._file = unknown, lexicon, habit
        self._sounds = Sounds(lexicon.tables.get("sounds", {}))
        self._names: dict[tuple[int, str], set[str]] = {}
        self._written = {fold(form): form for form in lexicon.forms}
        self._flavours = self._written.keys()
        for form in self._flavours:
            words = form.split()
            if len(words) == 2:
                for kept in (0, 1):
                    self._names.setdefault((kept, words[kept]), set()).add(words[1 - kept])
        self._words = frozenset(w for form in self._flavours for w in form.split())

    @cached_property
    def _habit(self) -> Habit:
        from voicedraft.hear.habit import FILE, load  # The counts are read only where a pair is in question.

        return load(self._lexicon, self._file or FILE)

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each such pair; see `Proposer`."""
        for first in range(len(words) - 1):
            pair = (words[first], words[first + 1])
            whole = " ".join(pair)
            known = not self._flavours.isdisjoint((whole, whole.removesuffix("s")))
            if known or first in stops or min(map(len, pair)) < LEAST_LETTERS:
                continue
            for kept in (0, 1):
                doubt = LEAST_SURE if self._unknown.is_unknown(pair[1 - kept]) else DOUBT
                if odds[first + 1 - kept] > doubt:
                    continue
                found = self._best(pair, kept, Place(words, stops, first, first + 2))
                if found is not None:
                    right, like = found
                    yield Proposal(first, first + 2, right, like, f"sounds like “{right}”, half of which was heard")

    def _best(self, pair: tuple[str, str], kept: int, place: Place) -> tuple[str, float] | None:
        bare = pair[1].removesuffix("'s")
        pair, owns = (pair[0], bare), pair[1][len(bare) :]
        other = pair[1 - kept]
        frames = self._unknown.frames
        if other in frames.modifiers:
            return None
        names = self._names.get((kept, pair[kept]), ())
        like, name = max(((self._sounds.likeness(other, name), name) for name in names), default=(0.0, ""))
        kinds = [] if other in self._words else ["unknown" if self._unknown.is_unknown(other) else "english"]
        kinds += ["placed"] if frames.fits(place, "flavours") else []
        if name.rstrip("s") == other.replace("'", "").rstrip("s") or all(like < LEAST[kind][0] for kind in kinds):
            return None
        right = (pair[0], name) if kept == 0 else (name, pair[1])
        gain = self._habit.run(_END, right, ()) - self._habit.run(_END, pair, ())
        enough = any(like >= LEAST[kind][0] and gain >= LEAST[kind][1] for kind in kinds)
        return (self._written[" ".join(right)] + owns, like) if enough else None
