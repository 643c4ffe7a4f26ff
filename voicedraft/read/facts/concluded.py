"""Rule: a sentence that weighs two values and closes on one: "he told us Nicaraguan, then Ecuador, so Ecuador it is".

The last clause, opened by "so", holds the value and nothing else; it outweighs what stands before it.
"""

from __future__ import annotations

from voicedraft.read.facts.context import Line

_OPENS = frozenset({"so", "therefore", "hence"})
_SMALL = frozenset({"so", "it", "is", "'s", "that", "then", "it's", "and", "the", "a", "an", "was", *_OPENS})


def concludes(line: Line, first: int, last: int) -> bool:
    """Whether the clause of the value at tokens `[first, last)` is the sentence's conclusion."""
    if line.asks or not line.tokens or last > len(line.tokens):
        return False
    start, end = line.clause(first)
    end = max(end, last)
    own = [t.text for t in (*line.tokens[start:first], *line.tokens[last:end])]
    if not set(own) <= _SMALL or start == 0:
        return False
    before = [t.text for t in line.tokens[line.clause(start - 1)[0] : start]]
    opened = bool(_OPENS & set(own)) or before in (["so"], ["and", "so"])
    return opened and _closes(line, end)


def _closes(line: Line, i: int) -> bool:
    """Whether nothing of the sentence comes after token `i`."""
    return i >= len(line.tokens) or line.tokens[i].stops
