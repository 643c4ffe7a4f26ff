"""An act told in a clause of its own after a denial of something else."""

from __future__ import annotations

from itertools import pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.small_words import SPEAKER


def clause_of_its_own(line: Line, first: int, last: int) -> bool:
    """"No fuss, I touched it up", "it wasn't long before I touched it up": the act is told after the denial."""
    said = [t.text for t in line.tokens[first:last]]
    clauses = enumerate(pairwise(said), first + 1)
    return any(b in SPEAKER and (line.tokens[i].breaks or a in {"before", "until", "till"}) for i, (a, b) in clauses)
