"""Where a flavour said before lighting was met: on the wrapper, at the foot or on the cold draw.

Last named place wins; which place a word names, and whether it is only looked back at, is weighed by a small model.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from voicedraft.lexicon import Lexicon
from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.lexical import pieces
from voicedraft.read.descriptors.tokens import Tokens

PLACES = ("wrapper", "foot", "cold_draw")


@dataclass(frozen=True, slots=True)
class Place:
    """A place named over tokens `[first, last)`."""

    first: int
    last: int
    place: str
    strong: bool


class PlaceFinder:
    """Finds the words of lexicon/places.toml; longest first."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._phrases: dict[str, list[tuple[tuple[str, ...], str, bool]]] = {}
        table = lexicon.tables.get("places", {})
        for place in PLACES:
            for group in ("strong", "weak"):
                for phrase in table.get(place, {}).get(group, ()):
                    cut = pieces(phrase)
                    self._phrases.setdefault(cut[0], []).append((cut, place, group == "strong"))
        for phrase in table.get("cold_draw", {}).get("cut", ()):
            cut = pieces(phrase)
            self._phrases.setdefault(cut[0], []).append((cut, "cut", False))
        for found in self._phrases.values():
            found.sort(key=lambda entry: -len(entry[0]))

    def find(self, row: Tokens) -> list[Place]:
        """All places named in passages from before lighting, in order."""
        out: list[Place] = []
        rows = row.rows
        for begin, end in row.bounds:
            passage = row.passage(begin) if end > begin else None
            if passage is None or passage.stage != "prelight":
                continue
            i = begin
            while i < end:
                step = 1
                for cut, place, strong in self._phrases.get(rows[i].lower, ()):
                    if i + len(cut) <= end and all(rows[i + k].lower == cut[k] for k in range(1, len(cut))):
                        out.append(Place(i, i + len(cut), place, strong))
                        step = len(cut)
                        break
                i += step
        return out


def place_features(row: Tokens, mentions: Sequence[Mention], places: Sequence[Place]) -> list[list[str]]:
    """Feature names of each mention; an empty list for one that was not said before lighting."""
    out: list[list[str]] = []
    for m in mentions:
        passage = row.passage(m.first)
        if passage is None or passage.stage != "prelight":
            out.append([])
            continue
        s = row.rows[m.first].sentence
        begin, end = row.bounds[s]
        seg = row.rows[m.last - 1].segment
        names = ["b"]
        start = _block(row, m.first)
        cuts = [p for p in places if p.place == "cut" and start <= p.first and p.last <= m.first]
        before = [p for p in places if start <= p.first and p.last <= m.first and p.place != "cut"]
        opened = bool(cuts)
        names += [f"cut={opened}", f"cut={bool(cuts and cuts[-1].first >= begin)}:here"]
        carried = [p for p in before if p.first < begin and p.strong]
        names.append(f"carried={carried[-1].place if carried else None}")
        here = [p for p in before if p.first >= begin]
        after = [p for p in places if m.last <= p.first < end and p.place != "cut"]
        for mark, found in (("here", here[::-1]), ("after", after)):
            strong = [p for p in found if p.strong]
            names.append(f"{mark}S={strong[0].place if strong else None}")
            names.append(f"{mark}W={found[0].place if found else None}")
            if found:
                gap = min(2, abs(row.rows[found[0].first].segment - seg))
                names += [f"{mark}={found[0].place}:{found[0].strong}:{gap}", f"{mark}g={found[0].place}:{gap}"]
                w = row.rows[max(begin, found[0].first - 1)].lower
                far = min(3, abs(found[0].first - m.last) // 3)
                names += [f"{mark}p={found[0].place}:{w}", f"{mark}d={far}:{found[0].place}"]
        names.append(f"carried={carried[-1].place if carried else None}:cut={opened}")
        alone = [p for p in before if p.first < begin and _alone(row, p)]
        names.append(f"alone={alone[-1].place if alone else None}")
        weak = [p for p in before if p.first < begin]
        names.append(f"carriedW={weak[-1].place if weak else None}")
        names += [f"{p.place}~" for p in here + after]
        if not here:
            names.append(f"nohere:carried={carried[-1].place if carried else None}")
        if not here and not after:
            names.append(f"none:carried={carried[-1].place if carried else None}")
        done = {p.place for p in before if p.strong}
        names.append("done=" + "".join(p[0] for p in PLACES if p in done))
        names.append(f"tail={_tail(row, m, mentions, places, end)}")
        out.append(names)
    return out


def _alone(row: Tokens, place: Place) -> bool:
    """Whether the place is all that its sentence says, or opens it as a heading: "Foot." or "Wrapper: hay"."""
    begin, end = row.bounds[row.rows[place.first].sentence]
    words = [t for t in row.rows[begin:end] if not t.punct]
    after = row.rows[place.last].text if place.last < end else "."
    return place.last - place.first >= len(words) - 1 or (place.first - begin <= 1 and after in ",:.-")


def _block(row: Tokens, index: int) -> int:
    """First token of the run of passages from before lighting around `index`; chatter does not break the run."""
    k = row.passage_of[index]
    while k > 0 and (row.passages[k - 1].stage == "prelight" or row.passages[k - 1].section in ("aside", "appearance")):
        k -= 1
    first = row.passages[k].first
    while index > 0 and row.rows[index - 1].word >= first:
        index -= 1
    return index


def _tail(row: Tokens, mention: Mention, mentions: Sequence[Mention], places: Sequence[Place], end: int) -> str | None:
    """The place named right behind the list that the mention stands in ("cedar and clove on the foot")."""
    last = mention.last
    for other in mentions:
        if other.first >= last and other.first - last <= 5 and other.first < end:
            between = {t.lower for t in row.rows[last : other.first]}
            if between & {",", "and", "or", "of"} and not any(last <= p.first < other.first for p in places):
                last = other.last
    found = [p for p in places if last <= p.first <= last + 3 and p.last <= end and p.place != "cut" and p.strong]
    return found[0].place if found else None
