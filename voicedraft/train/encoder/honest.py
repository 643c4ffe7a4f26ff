"""Vectors of annotated sessions as a speaker never heard would have them.

The shipped encoder was fitted on these sessions too, and tells their sections better than it will tell a new speaker's.
So each session's vectors come from the encoder of its part, which was fitted without it, turned into the shipped
encoder's directions by ridge regression on the sessions that both have seen.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
import numpy.typing as npt

from voicedraft.train.encoder import of_part, parts

Doubles = npt.NDArray[np.float64]
RIDGE = 0.01
"""Penalty, as a share of the mean square of the vectors: it pulls towards leaving the directions as they are."""


def unseen_vectors(
    shipped: Mapping[str, Doubles], texts: Mapping[str, tuple[str, ...]],
    encode: Callable[[tuple[str, ...], int], Doubles],
) -> dict[str, Doubles]:
    """name → (sentences, 384) vectors of length 1; those of a session of no part are left as they are.

    shipped: name → vectors by the shipped encoder, or by another in its place; encode(texts, part): vectors by that
    part's encoder.
    """
    out = dict(shipped)
    part_of = {name: part for name, part in parts().items() if name in shipped}
    for part in sorted(set(part_of.values())):
        found = {name: encode(texts[name], part) for name in shipped}
        both = [name for name in shipped if part_of.get(name) != part]
        turn = turned([found[n] for n in both], [shipped[n] for n in both])
        for name, own in part_of.items():
            if own == part:
                rows = found[name] @ turn
                out[name] = rows / np.maximum(np.linalg.norm(rows, axis=1, keepdims=True), 1e-9)
    return out


def turned(source: Sequence[Doubles], target: Sequence[Doubles]) -> Doubles:
    """(384, 384) that brings rows of `source` nearest to those of `target`."""
    a, b = np.concatenate(list(source)), np.concatenate(list(target))
    penalty = RIDGE * float((a * a).sum()) / a.shape[1] * np.eye(a.shape[1])
    result: Doubles = np.linalg.solve(a.T @ a + penalty, a.T @ b + penalty)
    return result


def by_part(texts: Sequence[str], part: int) -> Doubles:
    """(texts, 384) sentence vectors by the encoder of a part."""
    from voicedraft.read.analysis import encoder, tuning

    with tuning.instead(of_part(part)):
        return np.array([e.sentence for e in encoder().encode(texts)], np.float64)
