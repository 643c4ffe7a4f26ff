"""Which third each remark on strength is of, weighed over the session.

Speakers tell of strength about once a third, in order, and seldom leave a third out; where a third begins is often
told in no word. So where remarks apart stand in one third and a third beside it has none, every placement of them in
order is weighed by learned signs: how many thirds are told, how far a remark is moved, what it names and tells.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement, pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.sign_weights import SignWeights
from voicedraft.read.strength.mention import STAGES, Mention
from voicedraft.read.strength.model import ORDER
from voicedraft.read.strength.recap import WHOLE, stages_in
from voicedraft.read.strength.stage import SECTION_STAGE, compared, own_stage

_FARTHEST = 20
"""Lines beyond which a third is as far as any."""
_TOGETHER = 2
"""Remarks within so many lines are one, told of one third."""
_MOST = 9
"""With more remarks than this the sections stand."""
_SECTIONS = {stage: section for section, stage in SECTION_STAGE.items()}
Placement = tuple[int, ...]
"""The third of each remark, as an index of `STAGES`."""


@dataclass(frozen=True, slots=True)
class Remark:
    """Lines `first` to `last` that tell of strength in one breath."""

    first: int
    last: int
    stage: int
    named: int | None
    """The third that the line names."""
    value: float | None
    """The middle of what is told; None where it is told against another third."""


def in_order(
    lines: Sequence[Line], remarks: Sequence[int], found: Sequence[Mention], weights: SignWeights,
) -> list[Line]:
    """The lines, with the third of remarks (indexes of lines, in order) that were misplaced put right.

    found: what the lines tell as they stand.
    """
    told = together(lines, remarks, found)
    places = placements(told)
    if not places:
        return list(lines)
    return placed(lines, told, max(places, key=lambda place: (weights.weigh(ORDER, signs(lines, told, place)), place)))


def together(lines: Sequence[Line], remarks: Sequence[int], found: Sequence[Mention]) -> list[Remark]:
    """Remarks close upon each other as one."""
    values = {id(m.line): (m.low + m.high) / 2 for m in found if m.detail not in WHOLE}
    out: list[Remark] = []
    for i in remarks:
        stage = own_stage(lines[i])
        if stage is None:
            continue
        at, named, value = STAGES.index(stage), _names(lines[i]), values.get(id(lines[i]))
        last = out[-1] if out else None
        if last is not None and last.stage == at and i - last.last <= _TOGETHER and named is None:
            out[-1] = replace(last, last=i, value=last.value if value is None else value)
        else:
            out.append(Remark(i, i, at, named, value))
    return out


def placements(told: Sequence[Remark]) -> list[Placement]:
    """Every placement in order, and the sections' own; none where that tells of all thirds or leaves no choice."""
    now = tuple(r.stage for r in told)
    if not 2 <= len(told) <= _MOST or len(set(now)) == len(STAGES):
        return []
    return sorted({now, *combinations_with_replacement(range(len(STAGES)), len(told))})


def placed(lines: Sequence[Line], told: Sequence[Remark], place: Placement) -> list[Line]:
    """The lines with each remark's third as placed."""
    out = list(lines)
    for remark, stage in zip(told, place, strict=True):
        if stage != remark.stage:
            for i in range(remark.first, remark.last + 1):
                section = _SECTIONS[STAGES[stage]] if out[i].section in SECTION_STAGE else out[i].section
                out[i] = replace(out[i], stage=STAGES[stage], section=section)
    return out


def signs(lines: Sequence[Line], told: Sequence[Remark], place: Placement) -> list[str]:
    """The signs of a placement; one that counts something stands there as often as it was counted."""
    counts = Counter({f"thirds {len(set(place))}": 1})
    for remark, stage in zip(told, place, strict=True):
        if stage != remark.stage:
            counts["moved"] += abs(stage - remark.stage)
            counts["far"] += _distance(lines, remark, stage)
        if remark.named is not None:
            counts["as named" if stage == remark.named else "not as named"] += 1
    for (a, s), (b, t) in pairwise(zip(told, place, strict=True)):
        if s > t:
            counts["out of order"] += 1
        if t - s > 1:
            counts["middle left out"] += 1
        if a.value is not None and b.value is not None and s <= t:
            apart = "same third" if s == t else "next third"
            counts[f"{apart} {'rises' if b.value > a.value else 'falls' if b.value < a.value else 'stays'}"] += 1
        elif s == t:
            counts["measured in its own third"] += b.value is None
    return sorted(counts.elements())


def _names(line: Line) -> int | None:
    """The one third that the line names, where it measures against none."""
    named = stages_in(line, 0, len(line.tokens))
    alone = len(named) == 1 and len(named[0]) == 1 and compared(line) is None
    return STAGES.index(named[0][0]) if alone else None


def _distance(lines: Sequence[Line], remark: Remark, stage: int) -> int:
    """Lines from the remark to the nearest one of the third; where it has none, to where the smoke begins or ends."""
    there = [k for k, line in enumerate(lines) if own_stage(line) == STAGES[stage]]
    if not there:
        there = [k for k, line in enumerate(lines) if own_stage(line) is not None]
        there = [there[0]] if stage < remark.stage else [there[-1]]
    return min(min(abs(k - remark.first) for k in there), _FARTHEST)
