"""Rule: what was made somewhere and is no cigar: "my lighter was made in Brazil", "my wife was born in Mexico"."""

from __future__ import annotations

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.not_leaf import leaf_nouns

_NAMED = frozenset({"NOUN", "ADJ"})
"""What spaCy takes a noun for after "my" or "the": "lighter" is an adjective to it."""


def made_else(line: Line, first: int, last: int) -> bool:
    """Whether the words of making at tokens `[first, last)` have a subject of their own that is no cigar."""
    if line.doc is None:
        return False
    start, end = line.tokens[first].start, line.tokens[last - 1].end
    known = {*line.words.listed("country.of_things"), *leaf_nouns(line)}
    for verb in (t for t in line.doc if start <= t.idx < end and t.pos_ == "VERB"):
        for child in verb.children:
            noun = child.pos_ in _NAMED and child.dep_ == "nsubjpass" and child.i < verb.i
            apart = any(t.is_punct for t in line.doc[child.i : verb.i])
            if noun and not apart and child.lemma_.lower() not in known and not _a_size(line, child.idx):
                return True
    return False


def told_of_else(line: Line) -> bool:
    """Whether every word of making in the line is of something that is no cigar."""
    cues = line.find("country.made")
    return bool(cues) and all(made_else(line, h.first, h.last) for h in cues)


def _a_size(line: Line, character: int) -> bool:
    """"The robusto was rolled in Honduras"."""
    return any(t.start == character and line.words.vitolas.at(line.tokens, i) for i, t in enumerate(line.tokens))
