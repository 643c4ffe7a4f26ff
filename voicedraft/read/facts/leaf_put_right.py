"""Rules: a leaf put right after it was told.

"The wrapper's a broadleaf. No it isn't, it's San Andrés.": a sentence that takes back the one before and states another
leaf. "I said Dominican on that filler, but he says the other half's Honduran": what "I said" named gives way, in the
list of its part, to what stands after "but"; the rest of the list stays.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce

from voicedraft.read.facts.blend import Blend, joined, same_origin
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.leaves import Leaf

_BEFORE = frozenset({
    "it", "is", "'s", "that", "was", "actually", "a", "an", "the", "all", "they", "'re", "are", "no", "sorry", "but",
    "wrong", "wait", "i", "mean",
})
_AFTER = frozenset({"seed", "leaf", "tobacco", "from", "out", "grown", "and", "it", "that", "instead", "then"})
_OPENING = 3
"""Tokens within which the sentence takes back what was said."""


def replies(session: Session, line: Line, leaves: Sequence[Leaf], blend: Blend) -> bool:
    """"No it isn't, it's San Andrés, Mexican": the leaf in the place of the one told right before; whether it did."""
    told = [(part, found[0][0]) for part, found in blend.parts.items()
            if len(found) == 1 and blend.told_at(part) == line.index - 1]
    if len(told) != 1 or line.asks or session.guessing(line):
        return False
    opening = min(_OPENING, len(line.tokens))
    if not line.corrected(0, opening, strict=True) and not line.has("country.withdrawn", 0, opening):
        return False
    (part, old), new = told[0], [x for x in leaves if _stated(line, x) and not line.denied(x.first)]
    if not new or any(same_origin(old, x) for x in new) or line.has("leaf.guess") or line.has("leaf.unsure"):
        return False
    one = new[-1] if len(new) > 1 and line.corrected(new[0].last, new[-1].first) else reduce(joined, new[:2])
    blend.put(part, [one], line, False)
    blend.righted.add(part)
    return True


def _stated(line: Line, leaf: Leaf) -> bool:
    """Its clause says of it only that it is so: "it's Mexican", "Mexican", not "I don't like Mexican"."""
    start, end = line.clause(leaf.first)
    if line.has("other_cigar", start, end):
        return False
    after = line.tokens[leaf.last] if leaf.last < len(line.tokens) else None
    ends = after is None or after.breaks or after.text in _AFTER
    return ends and {t.text for t in line.tokens[start : leaf.first]} <= _BEFORE


def turns(
    session: Session, line: Line, leaves: Sequence[Leaf], cues: Sequence[tuple[int, int, str]], blend: Blend
) -> bool:
    """"I said Dominican on that filler, but it's Honduran": only that leaf of the list is another; whether it did."""
    turn = line.turn
    if turn is None or session.guessing(line):
        return False
    struck = [x for x in leaves if x.last <= turn]
    new = [
        x for x in leaves if x.first > turn and not line.denied(x.first) and not _likened(line, x)
        and not _SENSED & {t.text for t in line.tokens[turn : x.first]}
    ]
    named = {part for _, last, part in cues if last <= turn}
    if len(struck) != 1 or len(new) != 1 or len(named) > 1:
        return False
    for part in named or set(blend.parts):
        found = blend.parts.get(part, [])
        hits = [k for k, (old, _) in enumerate(found) if same_origin(old, struck[0])]
        if len(hits) == 1 and len(found) > 1:
            found[hits[0]] = (new[0], line)
            blend.guessed[part] = False
            blend.righted.add(part)
            return True
    return False


_SENSED = frozenset({"taste", "tastes", "tasted", "smell", "smells", "smelled", "feels", "felt", "reminds", "seems"})
"""Verbs that tell what it is like, not what it is."""


def _likened(line: Line, leaf: Leaf) -> bool:
    """"Like the Mexican of the wrapper" is only likened to."""
    return leaf.first > 0 and line.tokens[leaf.first - 1].text in ("like", "as", "than")
