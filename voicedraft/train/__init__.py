"""Fits everything that is learned from gold sessions. Needs the `train` extra; reading does not.

    python -m voicedraft.train             makes every weight file but two again, byte for byte
    python -m voicedraft.train encoder     the sentence encoder's (PyTorch and an accelerator; then all others again)
    python -m voicedraft.train hearing     the speech model's (the same, and voices that read aloud)
    python -m voicedraft.train PART        only sections, descriptors, pairings, facts, scores, strength, habit or
                                           vocabulary
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from voicedraft.read import Weights

ROOT = Path(__file__).resolve().parents[2] / "tests" / "gold"
_ALL = ("sessions", "own", "short", "marks")
FITTED_ON = {
    "encoder": _ALL, "sections": ("sessions", "own", "marks"), "descriptors": _ALL, "pairings": _ALL, "facts": _ALL,
    "scores": _ALL, "strength": _ALL, "habit": _ALL, "hearing": ("own", "short", "marks", "mended_on"),
    "vocabulary": ("own", "short", "marks", "mended_on"),
}
"""Part → folders of gold sessions that its shipped weights are fitted on; held_back is never among them. What
is heard in the figures are the development sessions: what hears is not fitted on them."""
BY_ITSELF = tuple(part for part in FITTED_ON if part not in ("encoder", "hearing"))
"""The parts that are made where none is named, in order: each needs what the ones before it made."""


def gold_files(part: str) -> list[Path]:
    """The gold sessions that a part's shipped weights are fitted on, by name. Empty outside a checkout."""
    return sorted((p for name in FITTED_ON[part] for p in (ROOT / name).glob("*.json")), key=lambda p: p.stem)


class Fitter:
    """Fits weights again and again on parts of the same sessions. The grammar of a session is kept for good; what is
    prepared of it for one encoder, and what rests on its sections as read for each set of sessions that those were
    fitted on, until the next encoder (a gigabyte for every 30 sessions or so)."""

    def __init__(self) -> None:
        from voicedraft.train.analysed import Kept

        self._analyses = Kept()
        self._encoder: object = None
        self._kept: dict[object, tuple[dict[str, Any], ...]] = {}

    def __call__(self, golds: Sequence[dict[str, Any]]) -> Weights:
        """All weights from `golds`, each a gold session with an id of its own, without calibration."""
        from voicedraft.read import Weights
        from voicedraft.read.analysis import tuning
        from voicedraft.read.sections.weights import in_use
        from voicedraft.train import descriptors, facts, pairings, scores, sections, strength
        from voicedraft.train.analysed import kept as analyses

        if self._encoder is not tuning():
            self._encoder, self._kept = tuning(), {}
        long = [g for g in golds if sections.is_long(g)] or golds
        fitted_on = frozenset(str(g["id"]) for g in long)
        kept = self._kept.setdefault("any", ({}, {}))
        read_so = self._kept.setdefault(fitted_on, ({}, {}, {}, {}))
        with analyses.instead(self._analyses):
            read_by = sections.weights_from(long, kept[0])
        with analyses.instead(self._analyses), in_use.instead(read_by):
            return Weights(
                sections=read_by, descriptors=descriptors.fit_golds(golds, kept[1]),
                pairings=pairings.fit_golds(golds, read_so[0]), facts=facts.fit_golds(golds, read_so[1]),
                scores=scores.fit_golds(golds, read_so[2]), strength=strength.fit_golds(golds, read_so[3]),
            )
