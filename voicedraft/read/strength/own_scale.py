"""Strength by its number on the speaker's own five steps: "one is mild and five is full, and this is a two".

The scale must be announced in the session, from one to five or as five steps or words; then a number told beside a word
for strength, or after a sentence that told one, is that step.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.scale import HIGH, LOW
from voicedraft.read.strength.mention import STAGES, Mention
from voicedraft.read.strength.stage import own_stage

_CARDINALS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5}
_ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5}
_UNITS = frozenset({"step", "rung", "word", "degree", "grade", "mark", "level", "peg"})
_ENDING = frozenset({
    "now", "here", "not", "if", "at", "on", "for", "so", "and", "or", "maybe", "still", "out", "today",
})
_LEADS = frozenset({"a", "an", "at", "be", "is", "'s", "to", "say", "between", "and", "strength", "it", "number", "or"})
_MOST_WORDS = 4


def numbered(lines: Sequence[Line]) -> list[Mention]:
    """The mentions told by number, in order of speech; none where no scale of five was announced."""
    if not any(_announces(lines, at) for at in range(len(lines))):
        return []
    out: list[Mention] = []
    for line in lines:
        stage = own_stage(line)
        about = line.has("strength.nouns") or line.has("strength.opens", 0, 4) or "scale" in line.vocabulary
        if stage not in STAGES or not (about or _goes_on(line, out)):
            continue
        told = _told(line)
        if told:
            values = [v for _, v in told]
            first, last = told[0][0], told[-1][0] + 1
            out.append(Mention(
                stage, min(values), max(values), line, first, last, 2 if about else 1, "number on the speaker's scale",
            ))
    return out


def _announces(lines: Sequence[Line], at: int) -> bool:
    """Whether the line tells of five steps of strength."""
    line = lines[at]
    if not any(x.has("strength.nouns") or x.has("strength.opens", 0, 4) for x in lines[max(at - 1, 0) : at + 2]):
        return False
    texts = [t.text for t in line.tokens]
    ends = bool({"one", "1"} & line.vocabulary) and bool({"five", "5"} & line.vocabulary)
    scaled = not {"to", "scale", "mild", "nothing", "is", "'s"}.isdisjoint(texts)
    steps = any(a in ("five", "5") and b.rstrip("s") in _UNITS for a, b in pairwise(texts))
    named = len({(s.low, s.high) for s in line.words.scale.find(line.tokens) if s.core}) >= _MOST_WORDS
    return (ends and scaled) or steps or named


def _goes_on(line: Line, out: Sequence[Mention]) -> bool:
    """Another third told by its number alone: "it's a three now", where no flavour or score could have it."""
    alone = out and not line.words.flavours.any(line.tokens) and not any(line.other)
    return bool(alone) and line.section.endswith("_third") and out[-1].stage != own_stage(line)


def _told(line: Line) -> list[tuple[int, int]]:
    """(token, step) of each number that is told, those that only explain the scale left out."""
    out = []
    for i, token in enumerate(line.tokens):
        after = line.tokens[i + 1] if i + 1 < len(line.tokens) else None
        before = line.tokens[i - 1].text if i else ""
        ends = after is None or after.breaks
        if token.text in _ORDINALS and (
            (after is not None and after.text in _UNITS) or (ends and before in ("and", "between"))
            or (before == "between" and after is not None and after.text == "and")
        ):
            out.append((i, _ORDINALS[token.text]))
        elif token.text in _CARDINALS and before in _LEADS and (ends or (after is not None and after.text in _ENDING)):
            out.append((i, _CARDINALS[token.text]))
    return [(i, v) for i, v in out if not _explains(line, i) and LOW <= v <= HIGH]


def _explains(line: Line, i: int) -> bool:
    """"One to five", "one is mild", "if one's mild and five's full"."""
    near = [t.text for t in line.tokens[i + 1 : i + 3]]
    lead = [t.text for t in line.tokens[max(i - 2, 0) : i]]
    return near[:1] in (["is"], ["'s"], ["to"], ["being"]) or (lead[-1:] == ["to"] and lead[:1] in (["one"], ["1"]))
