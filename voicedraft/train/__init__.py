"""Fits everything that is learned from gold sessions. Needs the `train` extra; reading does not.

    python -m voicedraft.train             makes every shipped weight file again, byte for byte
    python -m voicedraft.train PART        only sections, descriptors, pairings or facts
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from voicedraft.read import Weights

ROOT = Path(__file__).resolve().parents[2] / "tests" / "gold"
FITTED_ON = {
    "sections": ("sessions", "own"), "descriptors": ("sessions", "own", "short"),
    "pairings": ("sessions", "own", "short"), "facts": ("sessions", "own", "short"),
}
"""Part → folders of gold sessions that its shipped weights are fitted on; held_back is never among them."""


def gold_files(part: str) -> list[Path]:
    """The gold sessions that a part's shipped weights are fitted on, by name. Empty outside a checkout."""
    return sorted((p for name in FITTED_ON[part] for p in (ROOT / name).glob("*.json")), key=lambda p: p.stem)


class Fitter:
    """Fits weights again and again on parts of the same sessions: what is prepared of a session is kept."""

    def __init__(self) -> None:
        self._descriptors: dict[str, Any] = {}
        self._pairings: dict[str, Any] = {}
        self._facts: dict[str, Any] = {}

    def __call__(self, golds: Sequence[dict[str, Any]]) -> Weights:
        """All weights from `golds`, each a gold session with an id of its own, without calibration."""
        from voicedraft.read import Weights
        from voicedraft.train import descriptors, sections

        long = [g for g in golds if sections.is_long(g)] or golds
        return Weights(
            sections=sections.weights_from(long), descriptors=descriptors.fit_golds(golds, self._descriptors),
            pairings=self.pairings(golds), facts=self.facts(golds),
        )

    def pairings(self, golds: Sequence[dict[str, Any]]) -> Any:
        """Weights of the pairing reader."""
        from voicedraft.train import pairings

        names, lists, extra = _pairing_words()
        for n, gold in enumerate(golds):
            if gold["id"] not in self._pairings:
                self._pairings[gold["id"]] = pairings.study_gold(gold, names, lists, n)
        return pairings.fit([self._pairings[g["id"]] for g in golds], extra, names)

    def facts(self, golds: Sequence[dict[str, Any]]) -> Any:
        """Weights of the fact reader."""
        from voicedraft.lexicon import load_lexicon
        from voicedraft.train import facts

        for gold in golds:
            if gold["id"] not in self._facts:
                self._facts[gold["id"]] = facts.study_gold(gold, load_lexicon())
        return facts.fit([self._facts[g["id"]] for g in golds])


@cache
def _pairing_words() -> tuple[Any, Any, Any]:
    from voicedraft.lexicon import load_lexicon
    from voicedraft.read.pairings.tokens import Names
    from voicedraft.train import pairings

    lexicon = load_lexicon()
    names, lists = Names.of(lexicon, pairings.UNSEEN), pairings.names_by_kind(lexicon)
    return names, lists, pairings.written(names, lists)
