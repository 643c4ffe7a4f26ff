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
        before = [p for p in places if p.last <= m.first]
        carried = [p for p in before if p.first < begin and p.strong]
        names.append(f"carried={carried[-1].place if carried else None}")
        here = [p for p in before if p.first >= begin]
        after = [p for p in places if m.last <= p.first < end]
        for mark, found in (("here", here[::-1]), ("after", after)):
            strong = [p for p in found if p.strong]
            names.append(f"{mark}S={strong[0].place if strong else None}")
            names.append(f"{mark}W={found[0].place if found else None}")
            if found:
                gap = min(2, abs(row.rows[found[0].first].segment - seg))
                names += [f"{mark}={found[0].place}:{found[0].strong}:{gap}", f"{mark}g={found[0].place}:{gap}"]
                w = row.rows[max(begin, found[0].first - 1)].lower
                names += [f"{mark}p={found[0].place}:{w}", f"{mark}d={min(3, (abs(found[0].first - m.last)) // 3)}:{found[0].place}"]
        weak = [p for p in before if p.first < begin]
        names.append(f"carriedW={weak[-1].place if weak else None}")
        names += [f"{p.place}~" for p in here + after]
        if not here:
            names.append(f"nohere:carried={carried[-1].place if carried else None}")
        if not here and not after:
            names.append(f"none:carried={carried[-1].place if carried else None}")
        done = {p.place for p in before if p.strong}
        names.append("done=" + "".join(p[0] for p in PLACES if p in done))
        names += [f"w:{t.lemma}" for t in row.rows[begin:end] if not t.punct]
        out.append(names)
    return out
