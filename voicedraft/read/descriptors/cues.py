"""Finds the cue phrases of lexicon/status.toml and lexicon/intensity.toml in a row of tokens."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from voicedraft.lexicon import Lexicon
from voicedraft.read.descriptors.lexical import pieces


@dataclass(frozen=True, slots=True)
class Cue:
    """A cue phrase over tokens `[first, last)`. `kind` is "absent", "fading" … or "hint" … "dominant", or "when" and a
    stage; `group` is its list in the file: before, after, either, near, phrases …"""

    first: int
    last: int
    kind: str
    group: str


class _Node:
    """A place in the tree of phrases: the words that may follow, and the phrases that end here."""

    __slots__ = ("ends", "next")

    def __init__(self) -> None:
        self.next: dict[str, _Node] = {}
        self.ends: list[tuple[str, str]] = []


class CueFinder:
    """Every longest phrase at every place; phrases of different kinds may overlap."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._root = _Node()
        for file in ("status", "intensity"):
            for kind, body in lexicon.tables.get(file, {}).items():
                if isinstance(body, Mapping):
                    for group, phrases in body.items():
                        if isinstance(phrases, list):
                            self._add(phrases, kind, group)
        self._add(lexicon.tables.get("places", {}).get("room", {}).get("strong", ()), "room", "room")
        for kind, frames in lexicon.tables.get("not_flavours", {}).get("frames", {}).items():
            self._add([f.removesuffix(" X") for f in frames if f.endswith(" X")], f"frame {kind}", "before")
            self._add([f.removeprefix("X ") for f in frames if f.startswith("X ")], f"frame {kind}", "after")
        for kind, phrases in lexicon.tables.get("places", {}).get("when", {}).items():
            self._add(phrases, f"when {kind}", "when")

    def _add(self, phrases: Sequence[object], kind: str, group: str) -> None:
        for phrase in phrases:
            cut = pieces(str(phrase)) if isinstance(phrase, str) else ()
            node = self._root
            for word in cut:
                node = node.next.setdefault(word, _Node())
            if cut and (kind, group) not in node.ends:
                node.ends.append((kind, group))

    def _at(self, lower: Sequence[str], i: int, end: int) -> list[tuple[int, str, str]]:
        """(last, kind, group) of every phrase that starts at `i`, longest first."""
        node: _Node | None = self._root
        out: list[tuple[int, str, str]] = []
        while i < end and node is not None:
            node = node.next.get(lower[i])
            i += 1
            if node is not None:
                out += [(i, kind, group) for kind, group in node.ends]
        return sorted(out, key=lambda hit: (-hit[0], hit[1], hit[2])) if len(out) > 1 else out

    def find(self, lower: Sequence[str], bounds: Sequence[tuple[int, int]]) -> list[list[Cue]]:
        """The cues of each sentence, in order; a phrase inside a longer one of the same kind is left out."""
        out: list[list[Cue]] = []
        for begin, end in bounds:
            found: list[Cue] = []
            reach: dict[str, int] = {}
            for i in range(begin, end):
                for last, kind, group in self._at(lower, i, end):
                    if reach.get(kind, 0) < last:
                        found.append(Cue(i, last, kind, group))
                        reach[kind] = last
            out.append(found)
        return out
