"""Words of the trade that sound like what a window's doubtful words were taken for.

They are told to the model before it hears the window again: it may take one up where the sound bears it out.
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from rapidfuzz import fuzz, process

from voicedraft.hear.habit import END, Habit, tokens
from voicedraft.hear.recognise import HeardWord
from voicedraft.hear.repair import proper_names
from voicedraft.hear.repair.context import places, strings
from voicedraft.hear.repair.sound import fold
from voicedraft.hear.repair.unknown import as_said
from voicedraft.hear.sounds import SHARES, Sounds
from voicedraft.lexicon import Lexicon

DOUBTFUL, SURE = 0.9, 0.985
"""Words less probable than the first may be something else; a run of words must not begin and end in sure ones. Our
own choice by hand, no outside source."""
ALIKE = 0.6
"""Likeness by sound, 0 to 1, from which a name is told. Our own choice by hand, no outside source."""
WORTH, WORTH_ODDS = 0.0, 0.5
"""A window is heard again only where a name weighs more than the first and a word is less probable than the second: 94
of 156 windows of eleven synthesised sets, which hold 76 of the 84 words that a second hearing of all mends."""
MOST_WORDS, EACH = 24, 3
"""Words told for one window, and names that begin at one heard word. More (40 and 4) found as many again wrong."""
LONGEST = 3
"""Heard words that one name may have become, and words of a name: of 6,489 names in the lexicon 13 are longer."""
_APART, _DOUBT, _HABIT, _HABIT_MOST, _LEAST = 14.0, 2.0, 0.35, 12.0, -8.0
"""What a name weighs: _HABIT for each nat by which the trade would rather say it (no more than _HABIT_MOST count), less
_APART nats for being wholly unlike by sound, and _DOUBT for a word that the recogniser gives no chance. A name that
falls behind by more than _LEAST nats is not told. Our own choice by hand, no outside source; with them the figures at
WORTH and those of the second hearing in benchmarks/NOTES.md were measured."""


@dataclass(frozen=True, slots=True)
class _Likely:
    name: str
    first: int
    weight: float


class Doubt:
    """Every name of the trade by its sound."""

    def __init__(self, lexicon: Lexicon, habit: Habit) -> None:
        self._habit = habit
        self._sounds = Sounds(lexicon.tables.get("sounds", {}))
        proper = proper_names(lexicon)
        forms: dict[str, tuple[str, str]] = {}
        for name in _names(lexicon):
            plain = fold(name)
            if 0 < len(plain.split()) <= LONGEST and len(plain) > 1:
                shown = proper.get(plain, plain)
                forms.setdefault(plain, (plain, shown))
                forms.setdefault(as_said(name), (plain, shown))
        self._forms = sorted(forms)
        self._targets = [forms[f] for f in self._forms]
        self._letters = [f.replace(" ", "") for f in self._forms]
        self._fine = [self._sounds.fine(f) for f in self._forms]
        self._coarse = [self._sounds.coarse(f) for f in self._fine]

    def words(self, heard: Sequence[HeardWord]) -> list[str]:
        """Names to tell the model before it hears these words again, the likeliest first; none where nothing is
        doubtful or nothing of the trade sounds like it."""
        found = sorted(self._likely(heard), key=lambda c: (-c.weight, c.first, c.name))
        if not found or found[0].weight <= WORTH or min(w.probability for w in heard) >= WORTH_ODDS:
            return []
        out: list[str] = []
        begun: Counter[int] = Counter()
        left = MOST_WORDS
        for likely in found:
            size = len(likely.name.split())
            if likely.name not in out and begun[likely.first] < EACH and size <= left:
                begun[likely.first] += 1
                out.append(likely.name)
                left -= size
        return out

    def _likely(self, heard: Sequence[HeardWord]) -> Iterator[_Likely]:
        folded = [fold(w.text) for w in heard]
        ends = {i for i, w in enumerate(heard) if tokens(w.text)[-1:] == (END,)}
        for first in range(len(heard)):
            for last in range(first + 1, min(first + LONGEST, len(heard)) + 1):
                span, text = heard[first:last], " ".join(w for w in folded[first:last] if w)
                if ends.intersection(range(first, last - 1)):
                    break
                odds = min(w.probability for w in span)
                sure = len(span) > 1 and max(span[0].probability, span[-1].probability) > SURE
                if odds < DOUBTFUL and not sure and len(text) > 1 and not any(c.isdigit() for c in text):
                    yield from self._like(text, heard, folded, first, last, odds)

    def _like(
        self, text: str, heard: Sequence[HeardWord], folded: Sequence[str], first: int, last: int, odds: float
    ) -> Iterator[_Likely]:
        """Names that sound like heard words `[first, last)`."""
        likeness = self._likeness(text)
        near = np.nonzero(likeness >= ALIKE)[0]
        if not len(near):
            return
        before = (tokens(heard[first - 1].text) or (END,))[-1] if first else END
        after = tuple(t for w in heard[last : last + 2] for t in tokens(w.text))[:2]
        if tokens(heard[last - 1].text)[-1:] == (END,):
            after = (END,)
        said = self._habit.run(before, tokens(text), after)
        old = text.split()
        for at in near:
            plain, shown = self._targets[at]
            new = plain.split()
            if plain == text or abs(len(new) - len(old)) > 1 or (len(old) > len(new) and set(new) <= set(old)):
                continue
            if len(old) > 1 and len(new) > 1 and (old[0] == new[0] or old[-1] == new[-1]):
                continue
            gain, apart = self._habit.run(before, tuple(new), after) - said, _APART * (1 - float(likeness[at]))
            if gain - apart >= _LEAST:
                weight = _HABIT * min(_HABIT_MOST, gain) - apart + _DOUBT * (1 - odds)
                yield _Likely(shown, first, weight)

    def _likeness(self, text: str) -> npt.NDArray[np.float64]:
        """0 to 1 for each name, as `Sounds.likeness` has it for one."""
        fine = self._sounds.fine(text)
        rows = ((fine, self._fine), (self._sounds.coarse(fine), self._coarse),
                (text.replace(" ", "").replace("'", ""), self._letters))
        return np.asarray(sum(share * process.cdist([one], many, scorer=fuzz.ratio)[0].astype(np.float64) / 100
                              for share, (one, many) in zip(SHARES, rows, strict=True)))


def names_told(lexicon: Lexicon) -> list[str]:
    """Every name that could be told, as it is written, by the alphabet; the decoder learns from prompts of them."""
    proper = proper_names(lexicon)
    return sorted({proper.get(fold(n), n) for n in _names(lexicon) if len(n.split()) <= LONGEST})


def fingerprint(lexicon: Lexicon) -> str:
    """Changes when the names that could be told change, or the sounds by which they are found; part of the key of a
    kept hearing."""
    sounds = json.dumps(lexicon.tables.get("sounds", {}), sort_keys=True)
    return hashlib.sha256("\n".join([*sorted(set(_names(lexicon))), sounds]).encode()).hexdigest()[:16]


def _names(lexicon: Lexicon) -> list[str]:
    """Flavours, leaf, places, sizes, parts and the words of the prompt lists, as the lexicon writes them."""
    trade = lexicon.tables.get("trade", {})
    out = [*lexicon.forms, *strings(trade.get("leaf", {})), *places(lexicon)]
    for part in ("vitola", "shape"):
        out += [*trade.get(part, {}), *strings(trade.get(part, {}))]
    return [*out, *strings(trade.get("parts", {})), *strings(lexicon.tables.get("hearing", {}))]
