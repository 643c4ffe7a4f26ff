"""Rule: a verdict that its own words limit to something else says nothing of this cigar: "I don't think coffee goes
with pastries", "what I'd avoid on a Monday is wine", "nothing with gin for my wife". Not "it won't go with this"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

from voicedraft.lexicon import load_lexicon
from voicedraft.read.pairings.elsewhere import HERE
from voicedraft.read.pairings.people import PEOPLE, THEM
from voicedraft.read.pairings.tokens import Token

_OTHERS = re.compile(r"\bwith (?:most|many|other|the last) [a-z]+")
_IN_IT = re.compile(r"\bin (?:it|this|these)\b")
"""With these it is a taste of this cigar: "with the pepper in it"."""
_TAKEN = frozenset({"tablets", "pills", "meal", "meals", "food"})


@cache
def _other_reason() -> re.Pattern[str]:
    phrases = load_lexicon().table("pairings")["cues"]["other_reason"]
    return re.compile(rf"\b(?:{'|'.join(sorted(map(re.escape, phrases), key=len, reverse=True))})\b")


def apart(tokens: Sequence[Token]) -> bool:
    """Whether the words name another food, person, time or reason, and not this cigar."""
    text = " ".join(t.lower for t in tokens)
    if _other_reason().search(text) or _OTHERS.search(text):
        return True
    if HERE.search(text) or _IN_IT.search(text):
        return False
    return any(t.lower in ("with", "for") and _of_another(tokens[i + 1 : i + 5]) for i, t in enumerate(tokens))


def _of_another(tokens: Sequence[Token]) -> bool:
    """Whether what follows a "with" or "for" is a food, a drink or somebody: "my wife", "the fish"."""
    head = next((t for t in tokens if t.pos not in ("DET", "ADJ", "NUM") and t.tag != "PRP$"), None)
    return head is not None and (bool(head.mark) or head.lower in PEOPLE | THEM | _TAKEN)
