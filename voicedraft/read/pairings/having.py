"""Rule: what the cigar would be had with, told outside the talk of pairings, as in a verdict: "I'd have it again with a
tawny port", "next time I'm having it with dates and an espresso", "the next one I'm having with a slice of pie"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from voicedraft.read.denial import NOT
from voicedraft.read.pairings.tokens import Token

_VERB = r"(?:have|having|smoke|smoking|light|take|taking|try|enjoy|buy|serve|put|want)"
_WISH = r"(?:would|'d|will|'ll|'m|am|'re|going to|gonna|want to|next time)"
_SPOKEN = re.compile(
    rf"{_WISH}\b[^.;?!]*\b{_VERB} (?:it|this|one|another|these|them|the next)\b[^.;?!]*\bwith\b"
    rf"|\bthe next (?:one|box)\b[^.;?!]*{_WISH} (?:be )?{_VERB} with\b"
    rf"|{_WISH}\b[^.;?!]*\b{_VERB} (?:it|this|one|another|these|them) (?:\w+ )?again[^.;?!]*\bwith\b",
    re.IGNORECASE,
)
_DENIED = re.compile(r"(?:would|'d|will|wo|ca|could|can|'m|am|'re) ?(?:not|n't|never)\b")
"""A wish denied before an aside: "I would not, for the life of me, smoke it again with a cola"."""
_WITHIN = frozenset({"DET", "ADJ", "NUM", "NOUN", "PROPN", "ADP", "PART"})
_MORE = frozenset({"more", "less", "no", "same", "much", "such", "fewer"})
"""What the cigar itself would have: "the next one I'd want with more cocoa"."""
_AGAINST = NOT | {"without", "if", "nobody", "anything", "old", "other"}


def may_be_had(text: str) -> bool:
    """Whether the sentence has the words for it at all."""
    return _SPOKEN.search(text) is not None


def had_with(tokens: Sequence[Token], span: tuple[int, int], spans: Sequence[tuple[int, int]]) -> bool:
    """Whether the name, a listed one, is what follows that "with", or is joined to such a name."""
    first, last = span
    if not tokens[last - 1].mark:
        return False
    at = _with(tokens, first, spans)
    if at is None:
        return False
    lead = " ".join(t.lower for t in tokens[: at + 1])
    return _SPOKEN.search(lead) is not None and _DENIED.search(lead) is None and not any(
        t.lower in _AGAINST for t in tokens[:at] if t.clause == tokens[at].clause
    )


def _with(tokens: Sequence[Token], first: int, spans: Sequence[tuple[int, int]]) -> int | None:
    """The "with" that the name that begins at `first` hangs on."""
    i = first - 1
    while i >= 0 and tokens[i].lower != "with":
        joined = tokens[i].lower in ("and", "or", ",")
        if joined and any(b <= i <= b + 1 for _, b in spans):
            i = next(a for a, b in spans if b <= i <= b + 1) - 1
            continue
        if tokens[i].pos not in _WITHIN or tokens[i].lower in _MORE:
            return None
        i -= 1
    return i if i >= 0 else None
