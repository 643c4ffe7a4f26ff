"""Which third each remark on strength is of, weighed over the session.

Speakers tell of strength about once a third, in order, and seldom leave a third out; where a third begins is often
told in no word. So where two remarks apart stand in one third and the third beside it has none, one of them is taken
to be of that one: the one nearest to where it begins, seldom one that names its own third.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement

from voicedraft.read.facts.context import Line
from voicedraft.read.strength.mention import STAGES
from voicedraft.read.strength.recap import stages_in
from voicedraft.read.strength.stage import SECTION_STAGE, compared, own_stage

_MOVED, _FAR, _NAMED, _GAIN = 1.0, 0.05, 3.0, 3.0
"""Cost of another third than the section's, for each line up to where that third begins, of another than the one it
names; and what a third with a remark of its own is worth. Tried on the development sessions."""
_FARTHEST = 20
_TOGETHER = 2
"""Remarks within so many lines are one, told of one third."""
_MOST = 9
"""With more remarks than this the sections stand."""
_SECTIONS = {stage: section for section, stage in SECTION_STAGE.items()}


@dataclass(frozen=True, slots=True)
class _Remark:
    first: int
    last: int
    stage: int
    named: int | None
    """The third that the line names."""


def in_order(lines: Sequence[Line], remarks: Sequence[int]) -> list[Line]:
    """The lines, with the third of remarks (indexes of lines, in order) that were misplaced put right."""
    groups = _groups(lines, remarks)
    if not 2 <= len(groups) <= _MOST:
        return list(lines)
    now = tuple(g.stage for g in groups)
    if len(set(now)) == len(STAGES):
        return list(lines)
    best = min(
        combinations_with_replacement(range(len(STAGES)), len(groups)),
        key=lambda told: (_cost(lines, groups, told), told),
    )
    out = list(lines)
    disorder = _MOVED if now != tuple(sorted(now)) else 0.0
    if _cost(lines, groups, best) >= _cost(lines, groups, now) + disorder:
        return out
    for group, stage in zip(groups, best, strict=True):
        if stage != group.stage:
            for i in range(group.first, group.last + 1):
                section = _SECTIONS[STAGES[stage]] if out[i].section in SECTION_STAGE else out[i].section
                out[i] = replace(out[i], stage=STAGES[stage], section=section)
    return out


def _groups(lines: Sequence[Line], remarks: Sequence[int]) -> list[_Remark]:
    out: list[_Remark] = []
    for i in remarks:
        stage = own_stage(lines[i])
        if stage is None:
            continue
        at, named = STAGES.index(stage), _names(lines[i])
        last = out[-1] if out else None
        if last is not None and last.stage == at and i - last.last <= _TOGETHER and named is None:
            out[-1] = replace(last, last=i)
        else:
            out.append(_Remark(i, i, at, named))
    return out


def _names(line: Line) -> int | None:
    """The one third that the line names, where it measures against none."""
    named = stages_in(line, 0, len(line.tokens))
    alone = len(named) == 1 and len(named[0]) == 1 and compared(line) is None
    return STAGES.index(named[0][0]) if alone else None


def _cost(lines: Sequence[Line], groups: Sequence[_Remark], told: Sequence[int]) -> float:
    cost = -_GAIN * len(set(told))
    for group, stage in zip(groups, told, strict=True):
        if stage == group.stage or stage == group.named:
            continue
        cost += _MOVED * abs(stage - group.stage) + _FAR * _distance(lines, group, stage)
        cost += _NAMED if group.named == group.stage else 0.0
    return cost


def _distance(lines: Sequence[Line], group: _Remark, stage: int) -> int:
    """Lines from the remark to the nearest one of the third; where it has none, to where the smoke begins or ends."""
    there = [k for k, line in enumerate(lines) if own_stage(line) == STAGES[stage]]
    if not there:
        there = [k for k, line in enumerate(lines) if own_stage(line) is not None]
        there = [there[0]] if stage < group.stage else [there[-1]]
    return min(min(abs(k - group.first) for k in there), _FARTHEST)
