"""Touch-ups and relights, counted over the session: totals told at the end win, then running numbers, then events."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.counts import answered, repeated, told_in
from voicedraft.read.facts.lighting import lights_up
from voicedraft.read.facts.of_own import out_so_often
from voicedraft.read.facts.often import how_often, small
from voicedraft.read.facts.recalled import looked_back_on
from voicedraft.read.facts.tally import Tally, Told
from voicedraft.read.facts.telling import KINDS, SKIPPED, act_signs, alongs, chances, weighed
from voicedraft.read.numbers import Number
from voicedraft.read.numbers.phrases import Hit
from voicedraft.read.sign_weights import SignWeights

FACTS = {"touch_up": "touch_ups", "relight": "relights"}
"""Act → the fact that counts it."""


def read_counts(session: Session, weights: SignWeights) -> list[Claim]:
    """Claims "touch_ups" and "relights"."""
    out = []
    open_ = [x for x in session.lines if x.section not in SKIPPED and x.tokens]
    along = alongs(open_, weights)
    seen: dict[int, tuple[str, ...]] = {}
    for kind in KINDS:
        told = ruled(session, kind)
        for line in open_:
            i = line.index
            if i not in told and not along.likely(line):
                continue
            if i not in seen:
                seen[i] = act_signs(line, len(countable(line)))
            answers = i > 0 and session.lines[i - 1].asks
            share = chances(kind, seen[i], along.odds[i], weights)
            if lights_up(session, line, kind) and not told.get(i):
                continue
            told[i] = weighed(told.get(i, []), share, line, _in_all(line, kind), answers)
        told = {i: looked_back_on(session.lines[i], items) for i, items in told.items()}
        tally = tallied(session, told)
        if tally.count is not None:
            detail = f"counted over the session ({tally.detail})"
            out.append(Claim(FACTS[kind], tally.count, tally.line, tally.first, tally.last, detail))
    return out


def ruled(session: Session, kind: str) -> dict[int, list[Told]]:
    """What the rules read of one act, by number of the line."""
    out: dict[int, list[Told]] = {}
    before: Line | None = None
    recent = -99
    for line in session.lines:
        told = told_in(line, kind) or answered(before, line, kind)
        if not told and kind == "touch_up" and line.index - recent <= 2:
            told = repeated(line)
        if told and lights_up(session, line, kind):
            told = []
        if told and kind == "touch_up" and told[-1].kind != "none":
            recent = line.index
        if told:
            out[line.index] = told
        before = line
    return out


def tallied(session: Session, told: Mapping[int, Sequence[Told]]) -> Tally:
    """What was told of one act, added up."""
    over = max((x.index for x in session.lines if x.section in _SMOKED), default=len(session.lines))
    tally = Tally()
    for i in sorted(told):
        line = session.lines[i]
        for item in told[i]:
            summed = item.kind == "count" and (i > over or line.section == "verdict")
            tally.add(line, item, final=summed or _is_final(session, line))
    return tally


def countable(line: Line) -> list[Number]:
    """The numbers of a line that may count acts."""
    return [n for n in line.quantities.numbers if small(line, n) and n.value > 0]


def _in_all(line: Line, kind: str) -> Hit[int] | None:
    """The number of a line that may count acts: "twice", a number that closes it ("so it is two"), else the first.

    What counts goings-out ("out twice, and the match once") counts no touch-ups.
    """
    out = out_so_often(line) if kind == "touch_up" else None
    start = 0 if out is None else out.last
    times = how_often(line, start, len(line.tokens))
    numbers = [n for n in countable(line) if n.first >= start]
    if times is not None or not numbers:
        return times
    numbers = [n for n in numbers if n.last == len(line.tokens)] or numbers
    return Hit(int(numbers[0].value), numbers[0].first, numbers[0].last)


_SMOKED = frozenset({"first_third", "second_third", "final_third"})
"""After the last word of a third, a number told of an act sums it up."""


def _is_final(session: Session, line: Line) -> bool:
    """What is said after the smoke, or summed up in the second half of the session, is the total."""
    if line.section == "burn" and line.stage in ("after", None):
        return True
    late = 2 * line.index > len(session.lines)
    return late and ((line.stage == "after" and line.section != "verdict") or line.has("count.summing"))
