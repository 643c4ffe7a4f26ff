"""Strength told against an earlier third: "unchanged", "hasn't moved", "up a notch", "a touch stronger".

A move counts where its sentence speaks of strength, names a whole step with its direction, or follows right upon a
sentence that told of strength. A rise or fall without an amount tells no step, and nothing is read of it.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.context import Line
from voicedraft.read.numbers.phrases import Hit
from voicedraft.read.scale import HIGH, LOW
from voicedraft.read.strength.mention import STAGES, Mention
from voicedraft.read.strength.stage import SECTION_STAGE, against_a_wish, compared, equalled

_REACH = 14
"""Tokens on both sides of the word for strength within which its move is told."""
_NEGATION_REACH = 5
_FOLLOWS = 2
"""Lines within which a move without a word for strength goes on with what was told."""


def moved(line: Line, stage: str | None, before: Sequence[Mention]) -> Mention | None:
    """The strength of `stage` told against the third it names, else the latest third before it, or None."""
    if stage not in STAGES[1:]:
        return None
    earlier = [m for m in before if m.stage in STAGES[: STAGES.index(stage)]]
    at = _about_strength(line) or _unspoken(line, before)
    if not earlier or at is None:
        return None
    named = compared(line) or equalled(line)
    own = [m for m in earlier if m.stage == named] or earlier
    last = max(own, key=lambda m: (STAGES.index(m.stage), m.weight, m.line.index))
    first, end = max(0, at.first - _REACH), min(len(line.tokens), at.last + _REACH)
    body = [h.first for h in line.find("strength.body", at.last, end)]
    end = min([end, *body])
    step = _steps(line, first, end)
    if step is not None:
        low, high = sorted((last.low + step[0], last.high + step[0], last.low + step[1], last.high + step[1]))[::3]
        detail = f"{abs(step[1])} step(s) from the third before"
        return Mention(stage, _clip(low), _clip(high), line, first, end, 1, detail)
    if _same(line, first, end) or _equal(line, stage):
        return Mention(stage, last.low, last.high, line, first, end, 1, "as in the third before")
    return None


def measures(line: Line) -> bool:
    """Whether the line tells of strength against what was before, without a step of its own."""
    at = _about_strength(line)
    return at is not None and (_steps(line, 0, len(line.tokens)) is not None or _same(line, 0, len(line.tokens)))


def _clip(step: int) -> int:
    return max(LOW, min(HIGH, step))


def _about_strength(line: Line) -> Hit[str] | None:
    """The word for strength, where no body, flavour or pull is what moved."""
    found = line.find("strength.nouns")
    if not found and not line.words.flavours.any(line.tokens):
        found = line.find("strength.soft_nouns")
    own = [h for h in found if not line.other[h.first]]
    return own[0] if own else None


def _unspoken(line: Line, before: Sequence[Mention]) -> Hit[str] | None:
    """The move itself where nothing else is what moved: a whole step beside a direction or an earlier third, or a
    sentence close upon one that told of strength."""
    if line.section not in SECTION_STAGE or line.words.flavours.any(line.tokens) or any(line.other):
        return None
    if line.has("strength.body"):
        return None
    amounts = [*line.find("strength.one_step"), *line.find("strength.two_steps"), *line.find("strength.half_step")]
    bare = compared(line) is None
    steps = [h for h in amounts if not (_of_things(line, h) or (bare and line.tokens[h.last - 1].text == "more"))]
    moves = [*line.find("strength.up"), *line.find("strength.down")]
    steps = [h for h in steps if not against_a_wish(line, h.last - 1)]
    if steps and (moves or compared(line)):
        return steps[0]
    near = before and line.index - before[-1].line.index <= _FOLLOWS
    told = line.find("strength.same_again") if compared(line) or near else []
    if near and not told:
        told = [h for h in line.find("strength.move") if _denied(line, h, 0)]
    return told[0] if told else None


def _steps(line: Line, first: int, end: int) -> tuple[int, int] | None:
    """Steps moved as a range, up positive and down negative; None without an amount, or where the move is denied."""
    found: list[tuple[int, int, int]] = []
    for path, sign in (("strength.up", 1), ("strength.down", -1)):
        for move in line.find(path, first, end):
            if _denied(line, move, first) or against_a_wish(line, move.last - 1):
                continue
            a, b = max(first, move.first - 4), min(end, move.last + 6)
            for low, high, amounts in _AMOUNTS:
                near = [abs(h.first - move.first) for h in line.find(amounts, a, b) if not _of_things(line, h)]
                if near:
                    found.append((min(near), sign * low, sign * high))
                    break
    return min(found, key=lambda f: f[0])[1:] if found else None


_AMOUNTS = (
    (2, 2, "strength.two_steps"), (0, 1, "strength.half_step"), (1, 1, "strength.one_step"), (0, 1, "strength.touch"),
)


def _of_things(line: Line, amount: Hit[str]) -> bool:
    """"One more correction", "a bit more honey" count something else."""
    i = amount.last
    if line.tokens[i - 1].text != "more" or i >= len(line.tokens) or line.tokens[i].breaks:
        return False
    return line.tokens[i].text not in _AFTER_MORE


def _equal(line: Line, stage: str) -> bool:
    """"The strength returns to what the first third had": equal to a third before, and no step to either side."""
    named = equalled(line)
    return named is not None and STAGES.index(named) < STAGES.index(stage)


_AFTER_MORE = frozenset({
    "than", "now", "in", "on", "strength", "power", "nicotine", "here", "and", "from", "for", "again", "of", "at",
    "then", "kick", "punch", "force", "strong", "since", "but",
})


def _same(line: Line, first: int, end: int) -> bool:
    """"The same", "stays where it was", "hasn't moved", "no change in strength"."""
    if line.has("strength.same", first, end):
        return True
    moves = line.find("strength.move", first, end)
    return any(_denied(line, move, first) for move in moves)


def _denied(line: Line, move: Hit[str], first: int) -> bool:
    return line.has("strength.not", max(first, move.first - _NEGATION_REACH), move.first)
