"""Mishearings that are known: lexicon/misheard.toml, the user's own laid on top."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from voicedraft.hear.repair.context import CLOSE, REACH, Frames, Place, lives, neighbours
from voicedraft.hear.repair.proposal import Proposal
from voicedraft.hear.repair.sound import fold, likeness
from voicedraft.hear.repair.unknown import known_words
from voicedraft.lexicon import Lexicon

LEAST, LEAST_EVERYDAY = 0.55, 0.7
"""Confidence from which a repair is made; words of daily life must be surer. Set on gold texts, where all are wrong."""
LEAST_LETTERS = 7
"""A mishearing of several words is also looked for run together, where it is so long and no English word."""


@dataclass(frozen=True, slots=True)
class Form:
    """One known mishearing. `near` are the words that decide, folded."""

    heard: tuple[str, ...]
    right: str
    near: frozenset[str]
    everyday: bool
    kind: str
    rare: bool
    """No English word alone: with its "'s" it is nobody's name that English has."""


class Forms:
    """Known mishearings by their first word.

    said: the words heard in the whole session, folded. A flavour that was heard right elsewhere may open a sentence.
    """

    def __init__(self, lexicon: Lexicon, said: frozenset[str] = frozenset()) -> None:
        self._said = said
        table = lexicon.tables.get("misheard", {})
        groups = {name: words for name, words in table.get("group", {}).items()}
        self._frames = Frames(lexicon)
        leaf = frozenset(fold(w) for name in self._frames.leaf for w in name.split() if len(w) > 3)
        flavours, english = frozenset(f for f in self._frames.flavours if len(f) > 3), known_words()
        self._by_first: dict[str, list[Form]] = {}
        for kind, body in table.items():
            if kind in ("group", "never") or not isinstance(body, dict):
                continue
            for entry in body.get("forms", ()):
                beside = [*entry.get("near", ()), *(w for g in entry.get("groups", ()) for w in groups.get(g, ()))]
                near = frozenset(map(fold, beside))
                everyday = bool(entry.get("everyday", False))
                if kind == "parts" and near:
                    near |= leaf
                if kind == "flavours" and near and not everyday:
                    near |= flavours
                heard = fold(entry["heard"])
                joined = heard.replace(" ", "")
                spelt = {heard} if joined in english or len(joined) < LEAST_LETTERS else {heard, joined}
                for one in sorted(spelt - {"", fold(entry["right"])}):
                    rare = not everyday and one not in english
                    form = Form(tuple(one.split()), entry["right"], near, everyday, kind, rare)
                    self._by_first.setdefault(form.heard[0], []).append(form)

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each place of a take where a known mishearing stands among the words that decide."""
        for first, word in enumerate(words):
            for form in self._beginning(word):
                last = first + len(form.heard)
                said = tuple(words[first:last])
                owns = said != form.heard
                if owns:  # "Coco's on its way out": the "'s" stays.
                    said = (*said[:-1], said[-1].removesuffix("'s"))
                if said != form.heard or any(i in stops for i in range(first, last - 1)):
                    continue
                found = self._judge(form, Place(words, stops, first, last), min(odds[first:last]), owns)
                if found is not None:
                    yield replace(found, right=found.right + "'s") if owns else found

    def _beginning(self, word: str) -> Iterator[Form]:
        yield from self._by_first.get(word, ())
        if word.endswith("'s"):
            yield from self._by_first.get(word.removesuffix("'s"), ())

    def _judge(self, form: Form, place: Place, odds: float, owns: bool) -> Proposal | None:
        reach = CLOSE if form.everyday else REACH
        fated = form.kind == "flavours" and owns and self._frames.tells_its_fate(place)
        near = neighbours(place, (form.near | self._frames.flavours if fated else form.near) - {form.right}, reach)
        again = form.kind == "flavours" and self._frames.says_again(place, form.right)
        if owns and form.kind in ("leaf", "parts"):
            return None  # A name has an owner's "'s" more often: "Clara's wrapper".
        owns = owns and not form.rare
        if (form.near and not near and not again) or (owns and lives(place)):
            return None
        known = form.kind == "flavours" and self._said.issuperset(fold(form.right).split())
        fits = fated or again or self._frames.fits(place, form.kind) or (known and self._frames.opens(place, owns))
        if (form.everyday or owns) and not fits:
            return None
        confidence = 0.35 + 0.1 * min(len(near) + 2 * again, 3) + (0.2 if fits else 0.0) + 0.15 * (1 - odds)
        confidence += 0.1 * likeness(" ".join(form.heard), form.right) + (0.0 if form.everyday else 0.15)
        if confidence < (LEAST_EVERYDAY if form.everyday else LEAST):
            return None
        beside = ", ".join(sorted(near)[:3])
        return Proposal(place.first, place.last, form.right, min(confidence, 0.99),
                        f"sounds like “{form.right}”" + (f", beside {beside}" if beside else ""))
