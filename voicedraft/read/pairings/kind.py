"""Rule: drink or food. The lists decide where they hold the name; else its vector and the words around."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from voicedraft.read.pairings.tokens import Floats, Token

_DRINK = frozenset({
    "drink", "drinking", "drank", "glass", "cup", "mug", "pot", "pint", "dram", "pour", "poured", "sip", "sipping",
    "bottle", "ice", "neat", "tot", "shot", "measure", "tumbler", "jug", "straight", "chilled",
})
_FOOD = frozenset({
    "eat", "eating", "ate", "food", "plate", "slice", "piece", "square", "bite", "dessert", "snack", "wedge", "chunk",
    "hunk", "handful", "dish", "course", "hungry", "nibble", "supper", "tucker", "grub", "sweet", "fingers", "spread",
})
_CUT = frozenset({"slice", "heel", "crust", "loaf", "hunk", "wedge", "rasher"})
"""Of a drink's name too they make a food: "a heel of rye"."""
_CUE_WEIGHT = 1.5
"""Log-odds of one word for drink or food beside the name, common practice, no source."""


def drink_or_food(
    tokens: Sequence[Token], probes: Floats, first: int, last: int, before: str | None,
) -> Literal["drink", "food"]:
    """Which it is, by the noun before any "with" or "on" ("dark chocolate with salt").

    `before` is the kind of the name just before in the same sentence, which a list carries on."""
    if [t.lower for t in tokens[max(first - 1, 0) : first]] == ["of"] and tokens[max(first - 2, 0)].lemma in _CUT:
        return "food"
    stop = next((i for i in range(first + 1, last) if tokens[i].pos == "ADP" and not tokens[i].mark), last)
    mark = next((t.mark.partition("/")[0] for t in reversed(tokens[first:stop]) if t.mark), "")
    if mark:
        return "drink" if mark == "drink" else "food"
    weight = float(sum(_logit(p) for p in probes[first:last]) / max(last - first, 1))
    near = [t for j, t in enumerate(tokens) if j < first or (j >= last and t.clause <= tokens[last - 1].clause + 1)]
    weight += _CUE_WEIGHT * (any(t.lower in _DRINK for t in near) - any(t.lower in _FOOD for t in near))
    weight += {"drink": 0.5, "food": -0.5}.get(before or "", 0.0)
    return "drink" if weight > 0 else "food"


def _logit(probe: Floats) -> float:
    from math import log

    return log(max(float(probe[1]), 1e-3)) - log(max(float(probe[2]), 1e-3))
