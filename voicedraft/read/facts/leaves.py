"""Leaf names in tokens: countries, regions, seeds, colours, primings, joined to leaves such as "Nicaraguan, Jalapa"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from voicedraft.read.numbers.phrases import Hit, Phrases
from voicedraft.read.numbers.tokens import Token, fold, texts


@dataclass(frozen=True, slots=True)
class Name:
    """One word of the leaf trade. `kind`: country, region, seed, colour or priming; `country` it belongs to."""

    kind: str
    text: str
    country: str | None = None
    demonym: str = ""


@dataclass(frozen=True, slots=True)
class Leaf:
    """A leaf of tokens `[first, last)`: an origin, places or seeds of it, and a colour or priming."""

    first: int
    last: int
    country: str | None = None
    demonym: str = ""
    places: tuple[str, ...] = ()
    seeds: tuple[str, ...] = ()
    finish: tuple[str, ...] = ()
    home: str | None = None
    """The country that its place lies in, said or not; never printed unless said."""

    @property
    def text(self) -> str:
        """"Ecuadorian Sumatra", "Nicaraguan, Jalapa", "San Andrés maduro"."""
        head = " ".join(x for x in (self.demonym, *self.seeds, *self.finish) if x)
        return ", ".join(x for x in (head, *self.places) if x)

    @property
    def words(self) -> frozenset[str]:
        return frozenset(fold(w) for w in self.text.replace(",", " ").split())


_SMALL = frozenset({"de", "of", "del", "la", "el"})


def _title(text: str) -> str:
    return " ".join(w if w in _SMALL or w[:1].isdigit() else w[:1].upper() + w[1:] for w in text.split())


_LOWER = frozenset({
    "broadleaf", "broad leaf", "shade", "piloto", "olor", "criollo", "maduro", "oscuro", "claro", "rosado", "natural",
    "candela", "colorado",
    "colorado maduro", "colorado claro", "double maduro", "negro", "ligero", "seco", "viso", "volado", "medio tiempo",
})


def leaf_names(trade: Mapping[str, Any], homes: Mapping[str, str]) -> Phrases[Name]:
    """Every leaf name of lexicon/trade.toml. A seed that is a region too counts as a seed of that region's country."""
    table: dict[str, Name] = {}
    leaf = trade.get("leaf", {})
    for colour in leaf.get("colours", ()):
        if colour not in ("black", "natural", "café", "blond", "blonde", "colorado"):
            table[fold(colour)] = Name("colour", colour)
    for shade in ("shade grown", "sun grown"):
        table[shade] = Name("colour", shade.replace(" ", "-"))
    for priming in leaf.get("primings", ()):
        table[fold(priming)] = Name("priming", priming)
    for country in trade.get("country", ()):
        for region in country.get("regions", ()):
            table.setdefault(fold(region), Name("region", _title(region), country["name"]))
    for seed in leaf.get("seeds", ()):
        known = table.get(fold(seed))
        text = seed if seed in _LOWER else " ".join(w if w in _LOWER else _title(w) for w in seed.split())
        text = text.removesuffix("-seed").removesuffix(" Seed").removesuffix(" seed")
        if seed == "shade":
            continue
        if known is None or known.kind in ("region", "colour"):
            table[fold(seed)] = Name("seed", text, known.country if known and known.country else homes.get(seed))
    for country in trade.get("country", ()):
        demonym = _title(next((d for d in country.get("demonyms", ()) if d != fold(country["name"])), country["name"]))
        if country["name"] == "Cameroon":
            demonym = "Cameroon"
        for name in (country["name"], *country.get("aliases", ()), *country.get("demonyms", ())):
            if fold(name) not in ("us", "dr", "america") and not name.startswith("the "):
                table[fold(name)] = Name("country", country["name"], country["name"], demonym)
    return Phrases(table)


def find_leaves(tokens: Sequence[Token], hits: Sequence[Hit[Name]], first: int, last: int) -> list[Leaf]:
    """The leaves within `[first, last)`, names that belong together joined."""
    out: list[Leaf] = []
    for hit in hits:
        if hit.first < first or hit.last > last or not _capital(tokens, hit):
            continue
        new = _leaf(hit)
        if out and _joins(tokens, out[-1], new, hit.value):
            out[-1] = _merge(out[-1], new)
        else:
            out.append(_with_country_before(tokens, out, new, hit.value))
    return [_open_region(tokens, leaf, last) for leaf in _share_country(tokens, out)]


def _capital(tokens: Sequence[Token], hit: Hit[Name]) -> bool:
    """Names of places are printed with a capital; seeds, colours and primings need none."""
    return hit.value.kind not in ("country", "region") or any(
        t.printed[:1].isupper() for t in tokens[hit.first : hit.last]
    )


def _leaf(hit: Hit[Name]) -> Leaf:
    name = hit.value
    if name.kind == "country":
        return Leaf(hit.first, hit.last, name.country, name.demonym, home=name.country)
    if name.kind == "region":
        return Leaf(hit.first, hit.last, places=(name.text,), home=name.country)
    if name.kind == "seed":
        return Leaf(hit.first, hit.last, seeds=(name.text,), home=name.country)
    return Leaf(hit.first, hit.last, finish=(name.text,))


_ORIGIN = frozenset({
    "from", "off", "of", "in", "out", "down", "grown", "seed", "leaf", "which", "is", "a", "an", "the", "one", "it",
    "says", "type", "way", "up", "tobacco", "side", "they", "grow", "but", "only", "kind", "comes", "with", "as", "'s",
    "country",
    "some", "region", "valley", "island", "province", "hills", "still",
})
_LINKS = frozenset({"from", "off", "of", "in", "grown", "grow", "seed", "which", "leaf", "says", "type"})


def _joins(tokens: Sequence[Token], leaf: Leaf, new: Leaf, name: Name) -> bool:
    """Whether `new` tells more of the same leaf: next to it, after "from", or after a comma where the places agree."""
    between = tokens[leaf.last : new.first]
    comma = any(t.breaks for t in between) or tokens[new.first].breaks
    small = {t.text for t in between}
    if not small <= _ORIGIN or any(t.stops for t in between) or tokens[new.first].stops:
        return False
    if new.country and leaf.country:
        return False
    if comma and "it" in small and _after_not(tokens, leaf.first):
        return False
    if not between and not comma:
        return True
    if name.kind == "country":
        if leaf.home in (None, new.country) or leaf.seeds:
            return bool(small & _LINKS) or (comma and leaf.home == new.country)
        return False
    if leaf.home and name.country == leaf.home:
        return True
    if name.kind == "region" and not (leaf.country or leaf.seeds or leaf.places):
        return bool(small & _LINKS)
    if name.kind in ("seed", "priming", "colour") and leaf.country and not leaf.seeds:
        return not comma or bool(small & {"seed", "type", "one"}) or _tail(tokens, new) in ("seed", "type", "one")
    return name.kind == "colour" and bool(small & {"the"})


def _after_not(tokens: Sequence[Token], i: int) -> bool:
    """"not Java, it is Sumatra": what is denied is no part of the leaf that is stated."""
    return bool({"not", "isn't", "wasn't", "n't"} & {t.text for t in tokens[max(0, i - 2) : i]})


def _tail(tokens: Sequence[Token], new: Leaf) -> str:
    following = texts(tokens, new.last, new.last + 1)
    return following[0] if following and not tokens[new.last].breaks else ""


def _merge(a: Leaf, b: Leaf) -> Leaf:
    return Leaf(
        a.first, b.last, a.country or b.country, a.demonym or b.demonym, a.places + b.places, a.seeds + b.seeds,
        a.finish + b.finish, a.country or b.country or a.home or b.home,
    )


def _with_country_before(tokens: Sequence[Token], out: Sequence[Leaf], new: Leaf, name: Name) -> Leaf:
    """"Nicaraguan, Condega and Jalapa": a second place of the same country takes the country along."""
    if not out or new.country or name.kind not in ("region", "seed") or not out[-1].country or not out[-1].places:
        return new
    between = texts(tokens, out[-1].last, new.first)
    if name.country == out[-1].country and between in ((), ("and",), ("and", "from")):
        return replace(new, country=out[-1].country, demonym=out[-1].demonym)
    return new


def _share_country(tokens: Sequence[Token], leaves: Sequence[Leaf]) -> list[Leaf]:
    """"Estelí and Jalapa, both of them Nicaraguan": the country goes to both and is no leaf of its own."""
    out: list[Leaf] = []
    for leaf in leaves:
        bare = leaf.country and not leaf.places and not leaf.seeds
        between = texts(tokens, out[-1].last, leaf.first) if out else ()
        if bare and out and "both" in between[:1] and len(between) <= 3:
            for k in range(max(0, len(out) - 2), len(out)):
                if not out[k].country:
                    out[k] = replace(out[k], country=leaf.country, demonym=leaf.demonym)
            continue
        counted = _counted(out, leaf, between) if bare else 0
        if counted:
            out[-counted:] = [replace(x, country=leaf.country, demonym=leaf.demonym) for x in out[-counted:]]
            continue
        out.append(leaf)
    return out


_HOW_MANY = {"both": 2, "two": 2, "three": 3}
_OF_THEM = frozenset({"from", "of", "them", "all", "are", "out", "the", "so", "that's", "'s", "that"})
_SO = frozenset({
    "so", "and", "that", "that's", "'s", "is", "makes", "which", "then", "the", "it", "it's", "they", "are",
})
"""Before such a number: "so that's two from Nicaragua"; "I've smoked two from Nicaragua" counts other things."""


def _counted(told: Sequence[Leaf], origin: Leaf, between: Sequence[str]) -> int:
    """How many places told before a country are counted as its own: "Estelí and Ometepe, so two from Nicaragua"."""
    tail = list(between)
    while tail and tail[-1] in _OF_THEM:
        tail.pop()
    many = _HOW_MANY.get(tail[-1], 0) if tail and set(tail[:-1]) <= _SO else 0
    places = told[-many:] if many else ()
    own = all((x.places or x.seeds) and not x.country and x.home == origin.country for x in places)
    return many if own and len(places) == many else 0


def _open_region(tokens: Sequence[Token], leaf: Leaf, last: int) -> Leaf:
    """"Honduran, from Olancho": a name in capitals after "from" or "off" is a place even where no list holds it."""
    i = leaf.last
    if leaf.places or not leaf.country or i + 1 >= min(last, len(tokens)):
        return leaf
    if tokens[i].text not in ("from", "off") or not tokens[i + 1].printed[:1].isupper():
        return leaf
    end = i + 2
    while end < min(last, len(tokens)) and tokens[end].printed[:1].isupper() and not tokens[end].breaks:
        end += 1
    return replace(leaf, last=end, places=(" ".join(t.printed for t in tokens[i + 1 : end]),))
