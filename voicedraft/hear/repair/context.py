"""Whether a word of the trade belongs at a place: what stands close by, and the frame of words right beside it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from voicedraft.hear.repair.sound import fold
from voicedraft.lexicon import Lexicon

REACH, CLOSE = 12, 6
"""Words on either side in which a neighbour counts, and in which it counts for words of daily life."""

# What stands before a thing tasted or smelt, from the annotated sessions and from memory.
_BEFORE_FLAVOUR = frozenset((
    "of", "some", "get", "getting", "gets", "got", "little", "bit", "slight", "faint", "strong", "more", "tasting",
    "taste", "tastes", "smell", "smelling", "smells", "lots", "plenty", "hint", "hints", "note", "notes", "touch",
    "whiff", "dash", "nice", "definite", "distinct", "mild", "subtle", "sweet", "dry", "wet", "fresh", "dried",
))
_AFTER_FLAVOUR = frozenset(("has", "comes", "came"))
_FATES = frozenset(("fading", "faded", "fainter", "stronger", "dropping", "dropped"))
_MOVES = frozenset(("gone", "going", "coming"))
_ONWARD = frozenset((
    "", "up", "down", "through", "forward", "now", "already", "completely", "entirely", "altogether", "by",
))
"""Words behind a move that a flavour makes too; "out", "over", "to" are as well a person's or a dog's."""
_GOALS = frozenset(("with", "to", "the", "tomorrow", "tonight", "today", "next", "a", "some", "my", "in", "for"))
"""Words behind "coming up" and the like with which a person comes: "Pete's coming by with some whisky"."""
_STATES = frozenset((
    "still", "back", "here", "there", "now", "very", "quite", "strong", "faint", "light", "more", "less",
))
"""Words behind the "'s" of a flavour; our own choice."""
_LIVING = frozenset((
    "she", "he", "her", "him", "his", "dog", "cat", "puppy", "sofa", "asleep", "bark", "barking", "walk", "lead", "vet",
))
_BEFORE_PART = frozenset((
    "the", "this", "a", "my", "its", "that", "off", "on", "smooth", "dark", "oily", "toothy", "leaf", "each",
))
_BEFORE_SMOKING = frozenset((
    "the", "a", "cold", "this", "and", "on", "one", "no", "to", "with", "first", "second", "final",
))
_JOINS = frozenset(("and", "or", "with", "plus"))


@dataclass(frozen=True, slots=True)
class Place:
    """Words `[first, last)` of one take's folded words. After the indices `stops` a sentence or clause ends."""

    words: Sequence[str]
    stops: frozenset[int]
    first: int
    last: int

    def around(self, reach: int) -> str:
        """The words on either side, with blanks at both ends for whole-word search."""
        left = self.words[max(0, self.first - reach) : self.first]
        right = self.words[self.last : self.last + reach]
        return f" {' '.join(left)} | {' '.join(right)} "

    def before(self, distance: int = 1) -> str:
        """The word before it in the same clause, or ""."""
        at = self.first - distance
        return self.words[at] if at >= 0 and not any(i in self.stops for i in range(at, self.first)) else ""

    def after(self, distance: int = 1) -> str:
        """The word after it in the same clause, or ""."""
        at = self.last - 1 + distance
        inside = at < len(self.words) and not any(i in self.stops for i in range(self.last - 1, at))
        return self.words[at] if inside else ""


def neighbours(place: Place, near: Iterable[str], reach: int) -> list[str]:
    """Those of `near` that stand within `reach` words of the place, their plurals too."""
    text = place.around(reach)
    return [n for n in near if f" {n} " in text or f" {n}s " in text]


class Frames:
    """The words right beside a place, tested by kind of word: flavour, part, leaf, size or smoking."""

    def __init__(self, lexicon: Lexicon) -> None:
        plain = (form for form, entry in lexicon.forms.items() if not entry.term.ambiguous)
        self.flavours = frozenset(fold(form) for form in plain)
        modifiers = lexicon.tables.get("modifiers", {})
        self.modifiers = frozenset(fold(w) for w in strings(modifiers) if " " not in w)
        trade = lexicon.tables.get("trade", {})
        self.leaf = frozenset(fold(w) for w in (*strings(trade.get("leaf", {})), *places(lexicon)))

    def fits(self, place: Place, kind: str) -> bool:
        """Whether a word of that kind stands well at the place."""
        before, after = place.before(), place.after()
        if kind == "flavours":
            return before in _BEFORE_FLAVOUR or before in self.modifiers or self._listed(place, before, after)
        if kind == "parts":
            return before in _BEFORE_PART or before in self.leaf or after in self.leaf
        if kind in ("leaf", "sizes"):
            return before in ("a", "an", "the", "of", "from", "with", "in", *_JOINS) or before in self.leaf \
                or after in self.leaf or after in ("wrapper", "binder", "filler", "leaf", "seed")
        return before in _BEFORE_SMOKING

    def opens(self, place: Place, owns: bool = False) -> bool:
        """Whether it stands at the head of a clause that tells what became of a flavour: "Cocoa has come in", or with
        its "'s" (owns): "Cocoa's still here"."""
        told = place.after() in _STATES if owns else place.after() in _AFTER_FLAVOUR
        return not place.before() and told

    def tells_its_fate(self, place: Place) -> bool:
        """Whether it heads a clause with its "'s" that nothing but a flavour heads: "Cocoa's on its way out"; not
        "Coco's gone to fetch the lead"."""
        after, then = place.after(), place.after(2)
        fate = after in _FATES or (after in _MOVES and then in _ONWARD and place.after(3) not in _GOALS) or (
            after == "on" and then == "its" and place.after(3) == "way"
        )
        return not place.before() and fate

    def says_again(self, place: Place, right: str) -> bool:
        """Whether it heads a clause and is said again at once with more: "Hay, damp hay"."""
        return not place.before() and place.after() in self.modifiers and place.after(2) == right

    def _listed(self, place: Place, before: str, after: str) -> bool:
        """Whether it stands in a list with a flavour: "cedar and _", "_ and leather"."""
        return (before in _JOINS and place.before(2) in self.flavours) or (
            after in _JOINS and (place.after(2) in self.flavours or place.after(3) in self.flavours)
        )


def lives(place: Place) -> bool:
    """Whether somebody, or an animal, is told of close by."""
    return not _LIVING.isdisjoint(place.around(REACH).split())


def places(lexicon: Lexicon) -> list[str]:
    """Every country of the trade, its people's name and its regions, as the lexicon writes them."""
    countries = lexicon.tables.get("trade", {}).get("country", ())
    return [w for c in countries for w in (c["name"], *c.get("demonyms", ()), *c.get("regions", ()))]


def strings(value: object) -> Iterable[str]:
    """Every string in a table, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for inner in value.values():
            yield from strings(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from strings(inner)


def stops_of(texts: Sequence[str], marks: str = ".?!;:") -> frozenset[int]:
    """Indices of printed words that end in one of `marks`: after them a sentence or clause ends."""
    return frozenset(i for i, t in enumerate(texts) if t.rstrip("'\"”’)")[-1:] in marks and t)
