"""Rule: a clause that only takes a dressing away is nothing against the drink: "tea, no milk, is all it needs"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.pairings.tokens import Token

GARNISH = frozenset({
    "cream", "sugar", "sugars", "lemon", "lemons", "lime", "limes", "clove", "cloves", "butter", "sauce", "mustard",
    "ketchup", "mayonnaise", "chutney", "jam", "marmalade", "relish", "ice", "salt", "pepper", "onion", "onions",
    "gravy", "syrup", "honey", "cinnamon", "mint", "foam", "vinegar", "zest", "peel",
})
POURED = frozenset({"milk", "soda", "water", "tonic", "lemonade", "cola", "fruit", "nuts", "spirit"})
"""What is also added to a drink."""
_LITTLE = frozenset({"no", "not", "and", "added", "extra", "any", "much", "too", "nor"})


def takes_away(tokens: Sequence[Token], i: int) -> bool:
    """Whether the "no" at `i` opens a clause that only takes away what goes on or into the name before its comma."""
    clause = [t for t in tokens if t.clause == tokens[i].clause and t.pos != "PUNCT"]
    if clause[0].lower not in ("no", "and", "nor") or clause[-1].lower not in GARNISH | POURED:
        return False
    if any(t.lower not in _LITTLE | GARNISH | POURED for t in clause):
        return False
    before = [t for t in tokens if t.clause == tokens[i].clause - 1 and t.pos != "PUNCT"]
    return bool(before) and (bool(before[-1].mark) or before[-1].lower in GARNISH | POURED)
