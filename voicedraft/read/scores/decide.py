"""Decides which marks are given, of what, and on which scale: the learned odds, and what the rules read beside them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp

from voicedraft.read.scores.candidates import Mark
from voicedraft.read.scores.line import Line
from voicedraft.read.scores.mention import Mention
from voicedraft.read.scores.model import MARK, SCALE, TOP
from voicedraft.read.scores.seen import Pair, Seen, options, scale_signs
from voicedraft.read.sign_weights import SignWeights

TRUST = 1.5
"""Log-odds more for a mark that the rules read as well."""
SPECIAL = 1.5
"""Log-odds of a mark that no number says ("full marks", "the same for the draw") and the rules alone read."""
SPECIALS = frozenset({"full marks", "the same", "sum"})
LEVELS = frozenset({"strength", "body"})
"""These are levels, read as strength and never as scores."""
CLOSE = 0.7
"""Log-odds within which the later mark of an aspect counts."""


@dataclass(frozen=True, slots=True)
class Told:
    """Tokens `[first, last)` of a line that tell a mark by another one, and by which rule."""

    line: Line
    first: int
    last: int
    rule: str


@dataclass(frozen=True, slots=True)
class Given:
    """A score that stands. `mark` is None where the rules alone read it, as `mention` or by another mark, as `told`."""

    aspect: str
    value: float
    out_of: float
    odds: float
    signs: tuple[str, ...]
    mark: Mark | None
    mention: Mention | None
    told: Told | None = None


def decide(seen: Seen, ruled: Mapping[str, Mention], weights: SignWeights) -> list[Given]:
    """The scores of a session, in the order in which they were said. One number is one aspect's mark, and an aspect
    has one mark: the surest, or the later one of those that are about as sure."""
    tops = [weights.weigh(TOP, signs) for signs in seen.top_signs]
    found = [(_odds(seen, pair, ruled, weights), pair) for pair in seen.pairs]
    best = marked(seen, weights)
    out: dict[str, Given] = {}
    used: dict[int, str] = {}
    for odds, pair in _ranked(seen, found):
        mark = seen.marks[pair.mark]
        taken = used.get(pair.mark)
        shared = taken is not None and (
            _shared(mark, taken, pair.aspect, ruled)
            or {(pair.mark, taken), (pair.mark, pair.aspect)} <= seen.shared
        )
        if pair.aspect in LEVELS or pair.aspect in out or (taken is not None and not shared):
            continue
        if odds <= 0 and not shared:
            continue
        out_of = _scale(seen, pair, mark, tops, best, weights)
        if out_of is not None:
            out[pair.aspect] = Given(pair.aspect, mark.value, out_of, odds, pair.signs, mark, None)
            used.setdefault(pair.mark, pair.aspect)
    for rule in ruled.values():
        said = any(g.mark is not None and g.mark.place == (rule.line.index, rule.first) for g in out.values())
        if rule.rule in SPECIALS and rule.aspect not in out and rule.out_of is not None and not said:
            out[rule.aspect] = Given(rule.aspect, rule.value, rule.out_of, SPECIAL, (), None, rule)
    return sorted(out.values(), key=place_of)


def _shared(mark: Mark, one: str, other: str, ruled: Mapping[str, Mention]) -> bool:
    """Whether the rules read the mark for both aspects: "draw and burn both get eight"."""
    told = [ruled[a] for a in (one, other) if a in ruled]
    return len(told) == 2 and all((m.line.index, m.first) == mark.place and m.rule not in SPECIALS for m in told)


def place_of(given: Given) -> tuple[int, int]:
    """Sentence and token: the order of speech."""
    if given.mark is not None:
        return given.mark.place
    told = given.mention or given.told
    assert told is not None
    return told.line.index, told.first


def _odds(seen: Seen, pair: Pair, ruled: Mapping[str, Mention], weights: SignWeights) -> float:
    mark, rule = seen.marks[pair.mark], ruled.get(pair.aspect)
    same = rule is not None and rule.value == mark.value and rule.line.index == mark.line.index
    return weights.weigh(MARK, pair.signs) + TRUST * same


def marked(seen: Seen, weights: SignWeights) -> dict[int, float]:
    """Each mark's best odds of being given."""
    out: dict[int, float] = {}
    for pair in seen.pairs:
        out[pair.mark] = max(out.get(pair.mark, float("-inf")), weights.weigh(MARK, pair.signs))
    return out


def _ranked(seen: Seen, found: Sequence[tuple[float, Pair]]) -> list[tuple[float, Pair]]:
    """The surest first; a mark steps behind a later one of its aspect that is about as sure as the surest."""
    best: dict[str, float] = {}
    for odds, pair in found:
        best[pair.aspect] = max(best.get(pair.aspect, 0.0), odds)
    near = [(odds, pair) for odds, pair in found if odds > 0 and odds >= best[pair.aspect] - CLOSE]
    last: dict[str, tuple[int, int]] = {}
    for _, pair in near:
        place = seen.marks[pair.mark].place
        last[pair.aspect] = max(last.get(pair.aspect, place), place)
    stepped = [
        (odds - CLOSE if pair.aspect in last and seen.marks[pair.mark].place < last[pair.aspect] else odds, pair)
        for odds, pair in found
    ]
    order = sorted(range(len(found)), key=lambda i: (-stepped[i][0], -found[i][1].mark))
    return [(found[i][0], found[i][1]) for i in order]


def _scale(
    seen: Seen, pair: Pair, mark: Mark, tops: Sequence[float], marked: Mapping[int, float], weights: SignWeights
) -> float | None:
    """The scale that the mark stands on; None where none was said that it may stand on."""
    told = options(seen, mark, tops)
    if not told:
        return None
    chances: dict[float, float] = {}
    for k in told:
        odds = weights.weigh(SCALE, scale_signs(seen, pair.aspect, mark, k, tops, marked))
        chances[seen.tops[k].value] = chances.get(seen.tops[k].value, 0.0) + exp(odds)
    return max(chances, key=lambda value: (chances[value], -value))
