"""Rule: a clause that tells more of a leaf just named, or of one in the list: "Nicaraguan, that'd be Estelí", "the
Brazilian part is Mata Fina", "Mata Fina, that's your Brazilian".

"The", "that" or "your" before a country, and a word for being after it, point back to the one leaf of that country.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.blend import Blend, bare, fits, joined, rooted
from voicedraft.read.facts.context import Line
from voicedraft.read.facts.goes_on import tells_else
from voicedraft.read.facts.hedges import is_guess
from voicedraft.read.facts.leaves import Leaf
from voicedraft.read.facts.small_words import BEING

_OPENS = frozenset({"that", "it", "which", "this", "that's", "it's", "they"})
_IS = frozenset({"is", "'s", "'d", "'ll", "are", "was", "were", "be", "would", "comes", "come", "call", "calls"})
_JOINS = frozenset({"and", "or", "plus", "with", "not", "n't", "no", "but", "then"})
_DEFINITE = frozenset({"the", "that", "your", "this"})
_PIECE = frozenset({
    "part", "one", "bit", "leaf", "half", "tobacco", "stuff", "share", "portion", "side", "component", "third", "piece",
})
_BEING = BEING | {"'d", "be", "would"}
_SMALL = frozenset({"from", "of", "out", "a", "an", "the", "all", "called", "off", "in", "seed", "tobacco", "leaf"})
_FAR = 7
"""Words between a leaf and the clause that tells more of it."""


def apposed(line: Line, leaves: Sequence[Leaf], cues: Sequence[tuple[int, int, str]]) -> list[Leaf]:
    """The leaves of a sentence, those that one clause and the next tell together joined."""
    out: list[Leaf] = []
    for leaf in leaves:
        old = out[-1] if out else None
        if old is not None and _told_on(line, old, leaf, cues):
            out[-1] = joined(old, leaf)
        elif old is not None and _turned(line, old, leaf, cues):
            out[-1] = joined(leaf, old)
        else:
            out.append(leaf)
    return out


def _told_on(line: Line, old: Leaf, new: Leaf, cues: Sequence[tuple[int, int, str]]) -> bool:
    """"Nicaraguan, that'd be Estelí"; "the Brazilian part is Mata Fina"."""
    if tells_else(line, old, new):
        return False
    if not bare(old) or new.country or not fits(line, old, new) or not (new.places or new.seeds):
        return False
    if _clear(line, old, new, cues) and _opened(line, old.last, new.first):
        return True
    return _named_on(line, old, new) or _definite(line, old, new)


_AGAIN = frozenset({"again", "too", "also", "as", "well", "once", "more", "namely"})


def _named_on(line: Line, old: Leaf, new: Leaf) -> bool:
    """"Dominican again, Piloto": the next clause opens with a place or seed that is at home there."""
    words = {t.text for t in line.tokens[old.last : new.first]}
    at_home = new.home == old.country and (bool(new.places) or rooted(line, new))
    return at_home and words <= _AGAIN and line.tokens[new.first].breaks and not line.tokens[new.first].stops


def _opened(line: Line, first: int, last: int) -> bool:
    """The words between open with "that's" or "which is", after a comma or, with "which", without."""
    words = [t.text for t in line.tokens[first:last]]
    if not words or words[0] not in _OPENS or not (line.tokens[first].breaks or words[0] == "which"):
        return False
    return bool(_IS & set(words)) or words[0] in ("that's", "it's")


def _turned(line: Line, old: Leaf, new: Leaf, cues: Sequence[tuple[int, int, str]]) -> bool:
    """"Mata Fina, that's your Brazilian"."""
    if old.country or not bare(new) or not (old.places or old.seeds) or not fits(line, new, old):
        return False
    before = line.tokens[new.first - 1].text
    return before in _DEFINITE and _clear(line, old, new, cues) and _opened(line, old.last, new.first)


def _clear(line: Line, old: Leaf, new: Leaf, cues: Sequence[tuple[int, int, str]]) -> bool:
    """No part is named between them, nothing is added, denied or taken back, and no sentence ends."""
    between = line.tokens[old.last : new.first]
    if any(old.last <= c[0] < new.first for c in cues) or any(t.stops for t in between) or len(between) > _FAR:
        return False
    return not _JOINS & {t.text for t in between} and not line.corrected(old.last, new.first)


def _definite(line: Line, old: Leaf, new: Leaf) -> bool:
    words = [t.text for t in line.tokens[old.last : new.first]]
    before = line.tokens[old.first - 1].text if old.first else ""
    if before not in _DEFINITE or not _BEING & set(words):
        return False
    return set(words) <= _PIECE | _BEING | _SMALL and not line.tokens[new.first].stops


def points_back(line: Line, leaf: Leaf) -> bool:
    """"The Nicaraguan is from Jalapa": the leaf is one told before, of which more is told."""
    if not leaf.country or not (leaf.places or leaf.seeds):
        return False
    before = line.tokens[leaf.first - 1].text if leaf.first else ""
    inside = {t.text for t in line.tokens[leaf.first : leaf.last]}
    turned = bool((_DEFINITE - _OPENS) & inside) and bool(_IS & inside)
    return turned or (before in _DEFINITE and bool(_BEING & inside))


def refer(line: Line, leaves: Sequence[Leaf], blend: Blend) -> list[Leaf]:
    """The leaves without those that tell more of the only bare leaf of their country, which are added to it."""
    out: list[Leaf] = []
    for leaf in leaves:
        told = [
            (part, k) for part, found in blend.parts.items() for k, (old, _) in enumerate(found)
            if bare(old) and old.country == leaf.country and not blend.guessed.get(part)
        ]
        plain = not line.asks and not line.denied(leaf.first) and not is_guess(line, leaf.first, leaf.last)
        if len(told) == 1 and plain and points_back(line, leaf):
            blend.add_to(*told[0], leaf, line)
        else:
            out.append(leaf)
    return out
