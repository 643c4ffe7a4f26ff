"""Makes the encoder weights: the changes of the sentence encoder that were learned from gold sessions.

    python -m voicedraft.train encoder                              all of it; hours without an accelerator
    python -m voicedraft.train.encoder --material FILE GOLD...      only gather what is learned from
    python -m voicedraft.train.encoder --from FILE [--device cuda]  only fit, where there is an accelerator

Besides the shipped changes, fitted on all sessions, it makes one file for each of PARTS parts of the sessions, fitted
on the others: whatever is fitted on vectors, and every figure told of a session, has vectors of an encoder that never
saw that session's annotation. The same card gives the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from voicedraft.read.tuning import Tuning

PARTS = 4
FOLDER = Path(__file__).resolve().parents[1] / "data" / "encoder"
MADE_UP = "made"
"""Names of made-up speakers begin so: they teach all parts and belong to none."""


@lru_cache(maxsize=1)
def parts() -> dict[str, int]:
    """Session name → part. Empty where the parts were not made."""
    file = FOLDER / "parts.json"
    found: dict[str, int] = json.loads(file.read_text(encoding="utf-8")) if file.exists() else {}
    return found


@lru_cache(maxsize=PARTS)
def of_part(part: int) -> Tuning:
    """Changes fitted on all sessions but those of the part. Raises ModelError where they are missing."""
    from voicedraft.read.tuning import load

    return load(FOLDER / f"part{part}.npz")


@contextmanager
def not_fitted_on(name: str) -> Iterator[None]:
    """Within it, the encoder is one that was not fitted on the gold session of that name."""
    from voicedraft.read.analysis import tuning

    part = parts().get(name)
    with tuning.instead(tuning() if part is None else of_part(part)):
        yield
