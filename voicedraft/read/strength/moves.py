"""Strength told against what was told of an earlier third: "unchanged", "hasn't moved", "up a notch", "two steps down".

A move counts where its sentence speaks of strength, or where it follows right upon a sentence that does. A rise or fall
without an amount tells no step, and nothing is read of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.context import Line
from voicedraft.read.numbers.phrases import Hit
from voicedraft.read.scale import HIGH, LOW
from voicedraft.read.strength.mention import STAGES, Mention

_REACH = 14
"""Tokens on both sides of the word for strength within which its move is told."""
_NEGATION_REACH = 5


def moved(line: Line, stage: str | None, before: Sequence[Mention]) -> Mention | None:
    """The strength of `stage` told against the latest third before it, or None."""
    if stage not in STAGES[1:]:
        return None
    earlier = [m for m in before if m.stage in STAGES[: STAGES.index(stage)]]
    at = _about_strength(line)
    if not earlier or at is None:
        return None
    last = max(earlier, key=lambda m: (STAGES.index(m.stage), m.weight, m.line.index))
    first, end = max(0, at.first - _REACH), min(len(line.tokens), at.last + _REACH)
    body = [h.first for h in line.find("strength.body", at.last, end)]
    end = min([end, *body])
    step = _steps(line, first, end)
    if step is not None:
        low, high = _clip(last.low + step), _clip(last.high + step)
        return Mention(stage, low, high, line, first, end, 1, f"{abs(step)} step(s) from the third before")
    if _same(line, first, end):
        return Mention(stage, last.low, last.high, line, first, end, 1, "as in the third before")
    return None


def _clip(step: int) -> int:
    return max(LOW, min(HIGH, step))


def _about_strength(line: Line) -> Hit[str] | None:
    """The word for strength, where no body, flavour or pull is what moved."""
    found = line.find("strength.nouns")
    if not found and not line.words.flavours.any(line.tokens):
        found = line.find("strength.soft_nouns")
    own = [h for h in found if not line.other[h.first]]
    return own[0] if own else None


def _steps(line: Line, first: int, end: int) -> int | None:
    """Whole steps up (positive) or down that an amount tells; None without an amount, or where the move is denied."""
    for path, sign in (("strength.up", 1), ("strength.down", -1)):
        for move in line.find(path, first, end):
            if _denied(line, move, first):
                continue
            a, b = max(first, move.first - 4), min(end, move.last + 6)
            for count, amounts in ((2, "strength.two_steps"), (1, "strength.one_step")):
                if line.has(amounts, a, b):
                    return sign * count
    return None


def _same(line: Line, first: int, end: int) -> bool:
    """"The same", "stays where it was", "hasn't moved", "no change in strength"."""
    if line.has("strength.same", first, end):
        return True
    moves = line.find("strength.move", first, end)
    return any(_denied(line, move, first) for move in moves)


def _denied(line: Line, move: Hit[str], first: int) -> bool:
    return line.has("strength.not", max(first, move.first - _NEGATION_REACH), move.first)
