"""The mean of several fits: what they agree on stays, what each alone has picked up from its voices is halved."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from voicedraft.errors import ModelError
from voicedraft.hear.tuned import Change, Tuned


def mean(fits: Sequence[Tuned], most: int) -> Tuned:
    """The mean change of each matrix; where a fit leaves a matrix as it came, its change is nothing. At most `most`
    directions of a matrix are kept, the greatest. Raises ModelError where the fits are for different models."""
    if len({f.made_for for f in fits}) != 1:
        raise ModelError("The fits are for different speech models. Make them with one --model.")
    parts: dict[int, list[Change]] = {}
    for fit in fits:
        for change in fit.changes:
            parts.setdefault(change.at, []).append(change)
    return Tuned(fits[0].made_for, tuple(_joined(at, parts[at], len(fits), most) for at in sorted(parts)))


def _joined(at: int, changes: Sequence[Change], fits: int, most: int) -> Change:
    up = np.concatenate([c.up for c in changes], 1) / fits
    down = np.concatenate([c.down for c in changes], 0)
    left, left_rest = np.linalg.qr(up)
    right, right_rest = np.linalg.qr(down.T)
    u, size, v = np.linalg.svd(left_rest @ right_rest.T)
    root = np.sqrt(size[:most])
    return Change(at, np.asarray(left @ u[:, :most] * root, np.float32),
                  np.asarray((v[:most] @ right.T) * root[:, None], np.float32))
