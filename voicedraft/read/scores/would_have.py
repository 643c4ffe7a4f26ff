"""Rule: what another cigar would have got, or this one in other circumstances, is no mark: "last box I'd have made it a
nine", "had it been drier I'd have given it a nine"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.decide import Given
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.whose import inverted, other_cigar_before, would_have


def without_others(given: Sequence[Given], words: Words) -> list[Given]:
    """The scores without those that the clause gives in a "would have", to another cigar or under a condition."""
    return [g for g in given if g.mark is None or not _of_another(g.mark.line, g.mark.number, words)]


def _of_another(line: Line, number: Number, words: Words) -> bool:
    elsewhere = other_cigar_before(line, number.first, words) or inverted(line, number)
    return elsewhere and would_have(line, number)
