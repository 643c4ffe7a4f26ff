"""Rule: acts done to something else: "I relit the candle", "touched up the paint", "a dab of fire for the barbecue"."""

from __future__ import annotations

from voicedraft.read.facts.context import Line
from voicedraft.read.numbers.phrases import Hit


def of_a_thing(line: Line, hit: Hit[str]) -> bool:
    """"I relit the candle", "touched up the paint": done to something that is no part of a cigar."""
    after = [t.text for t in line.tokens[hit.last : hit.last + 2] if not t.breaks]
    if _lights_else(line, hit):
        return True
    if len(after) < 2 or after[0] not in _THE or line.doc is None:
        return False
    end = line.tokens[hit.last + 1].end
    noun = next((t for t in line.doc if t.idx < end <= t.idx + len(t)), None)
    return noun is not None and noun.pos_ == "NOUN" and noun.dep_ != "compound" and not (
        {after[1], noun.lemma_.lower()} & set(line.words.listed("count.of_a_cigar"))
    )


def _lights_else(line: Line, hit: Hit[str]) -> bool:
    """"I relit my pipe", "we had to light the fire pit again": right after the act stands what else is lit."""
    if line.section != "burn" and line.has("count.other_fires", 0, hit.first):
        return True
    for fire in line.find("count.other_fires", hit.first, min(len(line.tokens), hit.last + 3)):
        before = [t.text for t in line.tokens[hit.first : fire.first]]
        if before[-1:] and before[-1] in _THE and not {"off", "from", "with", "on", "at"} & set(before):
            return True
    return False


_THE = frozenset({"the", "my", "a", "that", "her", "his", "our", "their"})


def other_fire(line: Line, first: int) -> bool:
    """Whether the clauses from token `first` on tell of a fire for something else: "a dab of fire for the candle"."""
    for hit in line.find("count.other_fires", first):
        before = [t.text for t in line.tokens[max(first, hit.first - 2) : hit.first]]
        if len(before) == 2 and before[1] in _THE and before[0] in _FOR:
            return line.clause(first)[1] > hit.first or first == 0
    return False


_FOR = frozenset({"for", "to", "at", "on"})


def burns_else(line: Line) -> bool:
    """Whether the line names another fire, one that no cigar is touched up with."""
    return any(hit.value not in _TOOLS for hit in line.find("count.other_fires"))


_TOOLS = frozenset({"candle", "candles"})
"""Of the other fires, those that a cigar is touched up with as well: "I took the candle to the high edge"."""
