"""Strength told against another third ("up a notch") or of several at once ("mild at the start, full at the end")."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.context import Line
from voicedraft.read.scale import HIGH, Step
from voicedraft.read.strength.mention import STAGES, Mention

_REACH = 12
"""Tokens after the word for strength within which its move is told."""


def moved_from(line: Line, stage: str | None, before: Sequence[Mention]) -> Mention | None:
    """Strength told against the third before: "up a notch", "the same". None where nothing was told of that third."""
    nouns = line.find("strength.nouns")
    if stage not in STAGES[1:] or not nouns:
        return None
    earlier = STAGES[STAGES.index(stage) - 1]
    last = next((m for m in reversed(before) if m.stage == earlier), None)
    at, end = nouns[0].first, min(nouns[0].first + _REACH, len(line.tokens))
    if last is None:
        return None
    if line.has("strength.up_one", at, end):
        low, high = min(HIGH, last.low + 1), min(HIGH, last.high + 1)
        return Mention(stage, low, high, line, at, end, 1, "one step above the third before")
    if line.has("strength.same", at, end):
        return Mention(stage, last.low, last.high, line, at, end, 1, "as in the third before")
    return None


def recap(line: Line, judged: Sequence[tuple[Step, int]]) -> list[Mention]:
    """Strength told of several thirds at once, after the smoke: "mild at the start, medium after, full at the end"."""
    told = [(s, w) for s, w in judged if w >= 3 or (s.core and w and line.has("strength.nouns"))]
    if not told:
        return []
    if line.has("strength.throughout") and len({(s.low, s.high) for s, _ in told}) == 1:
        step = told[0][0]
        return [
            Mention(s, step.low, step.high, line, step.first, step.last, 2, "said of the whole smoke") for s in STAGES
        ]
    out = []
    ahead = bool(_stages_in(line, 0, told[0][0].first))
    for k, (step, _) in enumerate(told):
        first = told[k - 1][0].last if k else 0
        last = told[k + 1][0].first if k + 1 < len(told) else len(line.tokens)
        stage = _stages_in(line, first, step.first)[-1:] if ahead else []
        stage = stage or _stages_in(line, step.last, last)[:1]
        if stage:
            out.append(Mention(stage[0], step.low, step.high, line, step.first, step.last, 2, "recap"))
    return out


def _stages_in(line: Line, first: int, last: int) -> list[str]:
    """The thirds that tokens `[first, last)` name, in order: "in the middle", "at the end"."""
    found = [(h.first, stage) for stage in STAGES for h in line.find(f"strength.{stage}", first, last)]
    return [stage for _, stage in sorted(found)]
