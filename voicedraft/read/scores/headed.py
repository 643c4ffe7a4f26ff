"""Rule: a sentence headed by the name of another cigar tells marks of that one: "Their Early List, by comparison, was
stronger." … "Early List, for the record, three overall."

The name must have been said earlier for another cigar: with capitals, after "their" or "your", or after "the" in a
sentence that speaks of another one ("the last one from them, the Bell Buoy").
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.scores.line import Line, Words

_THEIRS = frozenset({"their", "your", "his", "her"})
_POINTING = frozenset({"the", "that"})


def headed_by_others(rows: Sequence[Line], words: Words) -> frozenset[tuple[int, int]]:
    """Sentence and first token of the numbers in sentences that such a name heads, up to a word for this cigar."""
    out: set[tuple[int, int]] = set()
    for line in rows:
        last = _name(line, words) if line.numbers else 0
        if last and any(_introduced(row, line.texts[:last], words) for row in rows[: line.index]):
            back = min((a for a, _ in line.find(words.this) if a >= last), default=len(line.tokens))
            out |= {(line.index, n.first) for n in line.numbers if last <= n.first < back}
    return frozenset(out)


def _name(line: Line, words: Words) -> int:
    """One past the name that heads the sentence, set off by a comma or followed by a verb; 0 where none does."""
    last = 0
    while last < len(line.tokens) and line.tokens[last].printed[:1].isupper() and (not last or line.joined(last)):
        last += 1
    if not last or last >= len(line.tokens) or line.find(words.named, 0, last):
        return 0
    if all(text in line.own for text in line.texts[:last]):
        return 0
    return last if line.tokens[last].breaks or line.pos[last] in ("VERB", "AUX") else 0


def _introduced(row: Line, name: tuple[str, ...], words: Words) -> bool:
    """Whether the name stands in the sentence with capitals, after a word that points to another cigar's name."""
    if name[0] not in row.texts:
        return False
    pointing = _THEIRS | _POINTING if row.find(words.cigars) else _THEIRS
    return any(
        row.texts[i : i + len(name)] == name and row.text(i - 1) in pointing
        and all(row.tokens[k].printed[:1].isupper() for k in range(i, i + len(name)))
        for i in range(1, len(row.tokens) - len(name) + 1)
    )
