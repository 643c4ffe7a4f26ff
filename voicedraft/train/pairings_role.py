"""Fits what a name is in the talk of pairings: mentioned, wanted or refused."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from voicedraft.read.pairings.merge import key
from voicedraft.read.pairings.phrase import runs
from voicedraft.read.pairings.role import role_inputs
from voicedraft.read.pairings.tokens import Floats

if TYPE_CHECKING:
    from voicedraft.train.pairings import Example

C_ROLE = 0.3
"""scikit-learn's C of the role model. Three-fold by session on 130 sessions, pairings that agree: 0.76 with 0.03, 0.78
with 0.1, 0.79 with 0.3 and with 1."""
WRITTEN_WEIGHT = 0.2
"""What a written sentence, or an annotated one said again with other names, counts beside an annotated one."""


def fit_role(examples: Sequence[Example]) -> Floats:
    """(3, INPUTS + 1): multinomial logistic regression of mentioned, wanted and refused names."""
    from sklearn.linear_model import LogisticRegression

    x, y, weight = [], [], []
    for e in examples:
        if not e.talk:
            continue
        spans = named(e)
        meant = [key(" ".join(t.lower for t in e.row.tokens[a:b])) for a, b in spans if e.tags[a] != "O"]
        for k, (first, last) in enumerate(spans):
            again = key(" ".join(t.lower for t in e.row.tokens[first:last]))
            if e.tags[first] == "O" and any(again <= m for m in meant):
                continue
            x.append(role_inputs(e.row, spans, k, following=e.following))
            tag = e.tags[first : first + 2]
            y.append(0 if tag[0] == "O" else 2 if "B-no" in tag[:1] or "I-no" in tag else 1)
            weight.append(1.0 if e.index >= 0 else WRITTEN_WEIGHT)
    model = LogisticRegression(C=C_ROLE, max_iter=300, class_weight="balanced").fit(
        np.array(x), np.array(y), sample_weight=np.array(weight),
    )
    return np.concatenate([model.coef_, model.intercept_[:, None]], axis=1).astype(np.float32)


def named(e: Example) -> list[tuple[int, int]]:
    """The names of a sentence in order: the annotated ones, and the listed ones that are only mentioned."""
    spans = runs([t[:1] for t in e.tags], e.row.tokens)
    taken = {i for a, b in spans for i in range(a, b)}
    i = 0
    while i < len(e.kinds):
        last = i
        while last < len(e.kinds) and e.kinds[last] and last not in taken and e.kinds[last] == e.kinds[i]:
            last += 1
        if last > i:
            spans.append((i, last))
        i = max(last, i + 1)
    return sorted(spans)
