"""The blend as far as it was told: which leaf each part has, from which sentence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.leaves import Leaf


@dataclass
class Blend:
    """The leaf of each part as far as it was told: (leaf, line) pairs, and whether they were guesses."""

    parts: dict[str, list[tuple[Leaf, Line]]] = field(default_factory=dict)
    guessed: dict[str, bool] = field(default_factory=dict)
    waiting: str | None = None
    last: dict[str, int] = field(default_factory=dict)
    """The transcript word past the end of what a later sentence told of a part's leaf."""
    lately: dict[str, int] = field(default_factory=dict)
    """Number of the later sentence that told of a part's leaf."""
    announced: int = 0
    """How many leaves the filler was said to have; 0 where nobody said."""
    righted: set[str] = field(default_factory=set)
    """Parts whose leaf a later sentence put in the place of another."""

    def put(self, part: str, leaves: Sequence[Leaf], line: Line, guessed: bool) -> None:
        if guessed and self.parts.get(part) and not self.guessed.get(part):
            return
        self.parts[part] = [(leaf, line) for leaf in leaves]
        self.guessed[part] = guessed
        self.last.pop(part, None)
        self.lately.pop(part, None)
        self.righted.discard(part)

    def told_at(self, part: str) -> int:
        """Number of the sentence that told last of a part's one leaf."""
        return self.lately.get(part, self.parts[part][0][1].index)

    def add_to(self, part: str, k: int, new: Leaf, line: Line) -> None:
        """Adds what `new` tells to leaf `k` of a part; its words end where the later sentence's do."""
        old, where = self.parts[part][k]
        self.parts[part][k] = (replace(joined(old, new), first=old.first, last=old.last), where)
        self.lately[part] = line.index
        self.last[part] = max(self.last.get(part, 0), line.span(new.first, new.last)[1])


def joined(a: Leaf, b: Leaf) -> Leaf:
    """One leaf of what both tell: "Dominican" and "olor" are "Dominican olor"."""
    return replace(
        a, first=min(a.first, b.first), last=max(a.last, b.last),
        country=a.country or b.country, demonym=a.demonym or b.demonym,
        places=a.places + tuple(p for p in b.places if p not in a.places),
        seeds=a.seeds + tuple(s for s in b.seeds if s not in a.seeds),
        finish=a.finish + tuple(f for f in b.finish if f not in a.finish),
    )


def same_origin(a: Leaf, b: Leaf) -> bool:
    """Whether two leaves are of one country, or share a word where no country was said."""
    return a.country == b.country if a.country and b.country else bool(a.words & b.words)


def bare(leaf: Leaf) -> bool:
    """Whether only the country was said."""
    return bool(leaf.country) and not leaf.places and not leaf.seeds


def fits(line: Line, old: Leaf, new: Leaf) -> bool:
    """Whether `new` can tell more of `old`: no other country, no place of another country, no seed that is at home
    in another one ("Mata Fina" of a Dominican leaf); seeds that travel fit anywhere ("Ecuadorian Sumatra")."""
    country = old.country or new.country
    if new.country not in (None, country):
        return False
    homes = {leaf.home for leaf in (old, new) if leaf.home and (leaf.places or rooted(line, leaf))}
    return homes <= {country} if country else len(homes) <= 1


def rooted(line: Line, leaf: Leaf) -> bool:
    """Whether a seed of the leaf is grown in its home country only."""
    return any(seed.lower() in line.words.listed("leaf.home") for seed in leaf.seeds)
