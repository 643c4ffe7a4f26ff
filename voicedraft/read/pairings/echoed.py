"""Rule: "as would a flat white", "so does stout", "nor would gin": the verdict before it is carried on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from voicedraft.read.pairings.refusal import GOOD, NEGATIONS
from voicedraft.read.pairings.tokens import Token

_HELPERS = frozenset({"would", "'d", "does", "do", "did", "will", "is", "are", "was", "were", "might", "could"})


def echoed(
    tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int, refused_before: bool,
) -> Literal["yes", "no", ""]:
    """What the name at `spans[k]` takes over. refused_before: whether the name before it was refused."""
    first = spans[k][0]
    lead = [t for t in tokens[:first] if t.pos not in ("DET", "ADJ")][-2:]
    if not k or tokens[-1].text == "?" or len(lead) < 2:
        return ""
    if lead[1].lower not in _HELPERS or lead[1].clause != tokens[first].clause:
        return ""
    if lead[0].lower in ("nor", "neither"):
        return "no" if refused_before else ""
    before = tokens[spans[k - 1][1] : first - 2]
    denied = any(t.lower in NEGATIONS for t in before)
    good = any(t.lemma in GOOD for t in before)
    return "yes" if lead[0].lower in ("as", "so") and good and not denied and not refused_before else ""
