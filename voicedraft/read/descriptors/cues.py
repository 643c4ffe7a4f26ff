"""Finds the cue phrases of lexicon/status.toml and lexicon/intensity.toml in a row of tokens."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from voicedraft.lexicon import Lexicon
from voicedraft.read.descriptors.lexical import pieces


@dataclass(frozen=True, slots=True)
class Cue:
    """A cue phrase over tokens `[first, last)`. `kind` is "absent", "fading" … or "hint" … "dominant", or "when" and a stage;
    `group` is its list in the file: before, after, either, near, phrases …"""

    first: int
    last: int
    kind: str
    group: str


class CueFinder:
    """Every longest phrase at every place; phrases of different kinds may overlap."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._phrases: dict[str, list[tuple[tuple[str, ...], str, str]]] = {}
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
        for found in self._phrases.values():
            found.sort(key=lambda entry: (-len(entry[0]), entry[1], entry[2]))

    def _add(self, phrases: Sequence[object], kind: str, group: str) -> None:
        for phrase in phrases:
            cut = pieces(str(phrase)) if isinstance(phrase, str) else ()
            if cut:
                self._phrases.setdefault(cut[0], []).append((cut, kind, group))

    def find(self, lower: Sequence[str], bounds: Sequence[tuple[int, int]]) -> list[list[Cue]]:
        """The cues of each sentence, in order; a phrase inside a longer one of the same kind is left out."""
        out: list[list[Cue]] = []
        for begin, end in bounds:
            found: list[Cue] = []
            reach: dict[str, int] = {}
            for i in range(begin, end):
                for cut, kind, group in self._phrases.get(lower[i], ()):
                    last = i + len(cut)
                    if last > end or reach.get(kind, 0) >= last:
                        continue
                    if all(lower[i + k] == cut[k] for k in range(1, len(cut))):
                        found.append(Cue(i, last, kind, group))
                        reach[kind] = last
            out.append(found)
        return out
