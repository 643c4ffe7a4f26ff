"""Rule: what another cigar would have got, or this one in other circumstances, is no mark: "last box I'd have made it a
nine", "had it been drier I'd have given it a nine"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.scores.decide import Given
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.whose import other_cigar_before

_WOULD = frozenset({"would", "'d", "i'd", "could", "might"})


def without_others(given: Sequence[Given], words: Words) -> list[Given]:
    """The scores without those that the clause gives in a "would have", to another cigar or under a condition."""
    return [
        g for g in given
        if g.mark is None or not _supposed_of_another(g.mark.line, g.mark.number.first, words)
    ]


def _supposed_of_another(line: Line, at: int, words: Words) -> bool:
    clause = [i for i in range(at) if line.clause[i] == line.clause[at]]
    would = any(line.text(i) in _WOULD and line.text(i + 1) == "have" and line.text(i + 2) != "to" for i in clause)
    return would and (other_cigar_before(line, at, words) or _had_it_been(line))


def _had_it_been(line: Line) -> bool:
    """An inverted condition: "had it been drier", "had they rolled it better"."""
    return any(
        line.text(i) == "had" and line.pos[i + 1] in ("PRON", "DET") and (i == 0 or not line.joined(i))
        for i in range(len(line.tokens) - 1)
    )
