"""Rule: each pairing once. The fullest wording stays; what is praised first and refused later is refused."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from voicedraft.types import Pairing

NEAR = 12
"""Words within which a name said again in fewer words is the same thing."""
_SMALL = frozenset({"a", "an", "the", "of", "and", "with", "some", "in", "on"})


def key(value: str) -> frozenset[str]:
    """Content words of a phrase in lower case, plural endings off."""
    words = re.findall(r"[^\W_]+", value.lower().replace("'s", " ").replace("’s", " "))
    return frozenset(_singular(w) for w in words if w not in _SMALL)


def _singular(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def _takes_back(kept: Pairing, later: Pairing) -> bool:
    """"Smoked mackerel, hm, no mackerel": refused in fewer words soon after."""
    same = kept.value.lower().split()[-1:] == later.value.lower().split()[-1:]
    return same and key(later.value) < key(kept.value) and later.first - kept.last <= NEAR


def merge(found: Sequence[Pairing]) -> tuple[Pairing, ...]:
    """The pairings in order, repeats joined."""
    out: list[Pairing] = []
    for pairing in found:
        words = key(pairing.value)
        if not words:
            continue
        same = next((i for i, kept in enumerate(out) if words <= key(kept.value) or key(kept.value) <= words), None)
        if same is None:
            out.append(pairing)
            continue
        kept = key(out[same].value)
        if out[same].kind == pairing.kind:
            if len(kept) < len(words):
                out[same] = pairing
        elif words == kept:
            out[same] = pairing
        elif pairing.kind == "avoid" and _takes_back(out[same], pairing):
            out[same] = replace(out[same], kind="avoid", evidence=pairing.evidence)
        else:
            out.append(pairing)
    return tuple(out)
