"""Strength told of several thirds at once: "mild at the start, medium after, full at the end"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.context import Line
from voicedraft.read.scale import Step
from voicedraft.read.strength.mention import STAGES, Mention


def recap(line: Line, judged: Sequence[tuple[Step, int]]) -> list[Mention]:
    """Strength told of several thirds at once: "mild at the start, medium after, full at the end"."""
    told = [(s, w) for s, w in judged if w >= 3 or (s.core and w and line.has("strength.nouns"))]
    if not told:
        return []
    if line.has("strength.throughout") and len({(s.low, s.high) for s, _ in told}) == 1:
        step = told[0][0]
        return [
            Mention(s, step.low, step.high, line, step.first, step.last, 2, "said of the whole smoke") for s in STAGES
        ]
    out = []
    ahead = bool(stages_in(line, 0, told[0][0].first))
    for k, (step, _) in enumerate(told):
        first = told[k - 1][0].last if k else 0
        last = told[k + 1][0].first if k + 1 < len(told) else len(line.tokens)
        named = stages_in(line, first, step.first)[-1:] if ahead else []
        named = named or stages_in(line, step.last, last)[:1]
        out += [
            Mention(stage, step.low, step.high, line, step.first, step.last, 2, "recap")
            for stage in (named[0] if named else ())
        ]
    return out


def stages_in(line: Line, first: int, last: int) -> list[tuple[str, ...]]:
    """The thirds that tokens `[first, last)` name, in order: "in the middle", "for the first two thirds"."""
    found = [(h.first, (stage,)) for stage in STAGES for h in line.find(f"strength.{stage}", first, last)]
    pairs = [(h.first, STAGES[:2]) for h in line.find("strength.first_two", first, last)]
    pairs += [(h.first, STAGES[1:]) for h in line.find("strength.last_two", first, last)]
    whole: list[tuple[int, tuple[str, ...]]] = [*pairs, *(f for f in found if f[0] not in {p for p, _ in pairs})]
    return [stages for _, stages in sorted(whole)]
