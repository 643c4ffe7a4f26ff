"""How a flavour changed from stage to stage: computed from the entries, never said by the tool on its own.

The course over time follows the idea of time-intensity description (ASTM E1909); the words are ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from voicedraft.types import DESCRIPTOR_STAGES, INTENSITIES, Descriptor

Evolution = Literal["new", "steady", "rising", "fading", "gone", "returned"]


def evolutions(descriptors: Sequence[Descriptor]) -> list[Evolution | None]:
    """One change an entry, against the same term's entries at earlier stages; None where nothing can be said
    (a flavour said to be absent, or one smelled in the room)."""
    return [_change(d, [e for e in descriptors if e.term == d.term and _order(e) < _order(d)]) for d in descriptors]


def _order(descriptor: Descriptor) -> int:
    return DESCRIPTOR_STAGES.index(descriptor.stage)


def _change(descriptor: Descriptor, earlier: list[Descriptor]) -> Evolution | None:
    if descriptor.stage == "room" or descriptor.status == "absent":
        return None
    if descriptor.status in ("fading", "gone"):
        return "fading" if descriptor.status == "fading" else "gone"
    seen = [e for e in earlier if e.status in ("present", "fading")]
    if not seen:
        return "new"
    last = max(earlier, key=_order)
    if last.status in ("gone", "absent"):
        return "returned"
    return _compare(descriptor, last)


def _compare(now: Descriptor, before: Descriptor) -> Evolution:
    if before.intensity is None or now.intensity is None:
        return "steady"
    step = INTENSITIES.index(now.intensity) - INTENSITIES.index(before.intensity)
    return "rising" if step > 0 else "fading" if step < 0 else "steady"
