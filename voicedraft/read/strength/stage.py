"""Which third a line tells of: its own, or, where it compares with that very third, the one after."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.context import Line
from voicedraft.read.strength.mention import STAGES

SECTION_STAGE = {"first_third": "first", "second_third": "second", "final_third": "final"}
_AGAINST = frozenset({"than", "from", "since", "on", "with", "against", "to", "over", "as", "like", "past", "before"})
_LOOSE = frozenset({"from", "since", "on", "over", "to", "past", "before"})
"""These measure only beside a move: "from the first puff" alone is a point in time."""
_ARTICLES = frozenset({"the", "what", "that", "this", "was", "it", "in", "at", "had", "i", "where", "last"})
_REACH = 6


_PARTS = frozenset({"third", "one", "part", "bit", "half", "stretch", "leg", "section", "piece"})
_OPENERS = frozenset({"and", "but", "in", "the", "for", "of", "that", "so", "now", "well", "right", "as", "on", "to"})
_ORDINALS = {"first": "first", "opening": "first", "second": "second", "middle": "second", "last": "final",
             "final": "final"}
_OPENING = 6


def opened_with(line: Line) -> str | None:
    """The third that the sentence opens with: "And the first, mild", "The strength of the second third I'd put at"."""
    for i, token in enumerate(line.tokens[:_OPENING]):
        stage = _ORDINALS.get(token.text)
        if stage is not None:
            after = line.tokens[i + 1] if i + 1 < len(line.tokens) else None
            ends = after is None or after.breaks or after.text in _PARTS
            return stage if ends else None
        if token.text not in _OPENERS and token.text not in ("strength", "power", "nicotine"):
            return None
    return None


def own_stage(line: Line) -> str | None:
    """The third of the line: the one that it opens with, else by its section, else by its stage."""
    if line.section in SECTION_STAGE and (opened := opened_with(line)) is not None:
        return opened
    return SECTION_STAGE.get(line.section) or (line.stage if line.stage in STAGES else None)


def compared(line: Line) -> str | None:
    """The third that the line measures against: "than the first part", "from the beginning"."""
    for stage in STAGES[:2]:
        for hit in line.find(f"strength.{stage}"):
            if _of_cigars(line, hit.first, hit.last):
                continue
            i = hit.first - 1
            while i >= 0 and hit.first - i <= _REACH and line.tokens[i].text in _ARTICLES:
                i -= 1
            loose = i >= 0 and line.tokens[i].text in _LOOSE and not _moves(line)
            if i >= 0 and line.tokens[i].text in _AGAINST and not loose and not _starts(line, i):
                return stage
    return None


_EXPECTED = frozenset({
    "expected", "expect", "anticipated", "like", "liked", "want", "wanted", "thought", "imagined", "hoped", "guessed",
    "bargained", "supposed", "usually", "normally",
})
_GENERAL = frozenset({"a", "any", "most", "cigars", "these", "such"})


def _of_cigars(line: Line, first: int, last: int) -> bool:
    """"More than I expected from the start", "at the start of a cigar": against a wish or any cigar."""
    after = [t.text for t in line.tokens[last : last + 2]]
    if after[:1] == ["of"] and after[-1] in _GENERAL:
        return True
    texts = [t.text for t in line.tokens[line.clause(first)[0] : first]]
    thans = [i for i, text in enumerate(texts) if text == "than"]
    than = thans[-1] if thans else len(texts)
    return texts[than + 1 : than + 2] != ["the"] and not _EXPECTED.isdisjoint(texts[than:])


def against_a_wish(line: Line, at: int) -> bool:
    """"A notch stronger than I expected": what token `at` measures is against a wish, and no third before."""
    _, end = line.clause(at)
    after = [t.text for t in line.tokens[at + 1 : end]]
    thans = [i for i, text in enumerate(after) if text in ("than", "what")]
    own = after[thans[0] + 1 :] if thans else []
    return own[:1] in (["i"], ["we"], ["i'd"], ["i've"], ["expected"], ["what"]) and not _EXPECTED.isdisjoint(own)


def wished(line: Line, at: int) -> bool:
    """"I expected medium from the start": what stands before token `at` in its clause was only looked for."""
    before = [t.text for t in line.tokens[line.clause(at)[0] : at]]
    return before[:1] in (["i"], ["we"]) and not _LOOKED_FOR.isdisjoint(before[1:3])


_LOOKED_FOR = frozenset({"expected", "anticipated", "wanted", "imagined", "hoped", "guessed", "thought"})


_EQUALS = frozenset({
    "back", "equal", "equals", "like", "as", "same", "matches", "matching", "returns", "returned", "return", "again",
    "level", "identical", "compared", "no", "nor", "exactly",
})


def equalled(line: Line) -> str | None:
    """The third that the line equals: "back where the first third had it", "exactly like the second third"."""
    for stage in STAGES[:2]:
        for hit in line.find(f"strength.{stage}"):
            before = [t.text for t in line.tokens[max(hit.first - _REACH, 0) : hit.first]]
            if not _EQUALS.isdisjoint(before):
                return stage
    return None


def _moves(line: Line) -> bool:
    return any(line.has(f"strength.{name}") for name in ("up", "down", "one_step", "half_step", "same_again"))


def measured(line: Line, at: int) -> bool:
    """"Less than the middle" tells nothing of the middle."""
    before = [t.text for t in line.tokens[max(at - 3, 0) : at]]
    return "than" in before


def _starts(line: Line, i: int) -> bool:
    """"Right from the start", "from start to finish" measure nothing."""
    if i and line.tokens[i].text == "from" and line.tokens[i - 1].text in ("right", "straight"):
        return True
    texts = [t.text for t in line.tokens[i : i + 6]]
    return "to" in texts[1:] and bool({"end", "finish", "last", "close", "back", "nub"} & set(texts))


def settled(lines: Sequence[Line], at: int, stage: str | None) -> str | None:
    """The stage of line `at`; where it compares with that third or a later one, the stage around it, else the next."""
    line = lines[at]
    against = compared(line)
    if against is None or stage is None or STAGES.index(stage) > STAGES.index(against):
        return stage
    around = [own_stage(x) for x in (*lines[at + 1 : at + 3], *lines[max(at - 2, 0) : at][::-1])]
    later = [s for s in around if s and STAGES.index(s) > STAGES.index(against)]
    return later[0] if later else STAGES[STAGES.index(against) + 1]
