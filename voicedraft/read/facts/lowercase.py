"""Names that a recogniser wrote without capitals: "it's the copper lantern, from harlow brothers".

Such a name is read only where the sentence itself shows it: after "it's the" or "smoking the", and before "from" or
"by" with the maker behind. Words that any cigar is called by ("the new release from") are no name.
"""

from __future__ import annotations

from voicedraft.read.facts.context import Line

_MAKERS_CUE = frozenset({"from", "by"})
_MOST = 4
"""Words of a name (common practice, no source)."""
_JOINTS = frozenset({"and", "but", "so", "in", "with", "which", "at", "it", "i", "on", "for", "that", "is", "'s", "as"})


def line_before(line: Line, maker: int) -> tuple[int, int] | None:
    """Tokens of the line's name that stands right before "from" or "by" and the maker at token `maker`."""
    cue = maker - 1
    if cue > 0 and line.tokens[cue].text == "the":
        cue -= 1
    if cue < 2 or line.tokens[cue].text not in _MAKERS_CUE:
        return None
    for hit in reversed(line.find("name.shown", 0, cue)):
        if 1 <= cue - hit.last <= _MOST and _is_name(line, hit.last, cue):
            return hit.last, cue
    return None


def both(line: Line) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """(line, maker) tokens where neither has capitals: the maker runs to the next comma or small word."""
    for cue in range(2, len(line.tokens) - 1):
        if line.tokens[cue].text not in _MAKERS_CUE:
            continue
        first = cue + 1
        name = line_before(line, first)
        last = first
        while last < len(line.tokens) and (last == first or not line.tokens[last].breaks):
            if line.tokens[last].text in _JOINTS:
                break
            last += 1
        if name is not None and 2 <= last - first <= _MOST and _is_name(line, first, last):
            return name, (first, last)
    return None


def _is_name(line: Line, first: int, last: int) -> bool:
    if any(line.tokens[i].breaks for i in range(first, last)):
        return False
    numbered = any(n.first < last and n.last > first for n in line.quantities.numbers)
    trade = any(
        line.words.vitolas.at(line.tokens, i) or line.words.leaves.at(line.tokens, i) for i in range(first, last)
    )
    known = any(line.tokens[i].text in line.words.never_names for i in range(first, last))
    return not (numbered or trade or known or line.has("name.common", first, last) or line.other[first])
