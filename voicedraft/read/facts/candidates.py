"""What may be a fact: every amount, length, ring, percentage, time, size name, leaf and country.

What each of them is (of this cigar, of another, a wish, a correction's wrong half) is judged by `roles`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from voicedraft.read.facts.cigar import runs
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.humidity import in_percent
from voicedraft.read.facts.leaves import find_leaves
from voicedraft.read.facts.not_kept import not_kept, not_rested
from voicedraft.read.facts.ranges import numbers_one, within_range
from voicedraft.read.facts.smoking import moment, net
from voicedraft.read.facts.vitola import COMMON
from voicedraft.read.numbers.clock import between, clocks
from voicedraft.read.numbers.duration import DAY, UNITS, Duration
from voicedraft.read.numbers.length import UNITS as LENGTHS
from voicedraft.read.numbers.length import bare_length
from voicedraft.read.numbers.size import is_ring

THIRDS = frozenset({"first_third", "second_third", "final_third", "pairings", "palate"})
NEAR = 1
"""Sentences around an amount with its currency in which bare numbers may be amounts too."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """`value` at tokens `[first, last)` of a line: a number, or the text of a size name, leaf, country or name.

    `kind`: money, count, length, ring, humidity, rest, smoking, vitola, leaf, country or name.
    """

    kind: str
    value: Any
    line: Line
    first: int
    last: int
    shape: str = ""
    """How it was said: "pair", "decimal", "whole", "unit", "bare"."""
    codes: tuple[str, ...] = ()
    """ISO 4217 codes that the words allow; empty where no currency was said."""
    amounts: tuple[float, ...] = ()

    def amount_in(self, code: str) -> float:
        """The amount in the currency `code`, where a slang word is worth different amounts."""
        return self.amounts[self.codes.index(code)] if self.amounts and code in self.codes else float(self.value)


def candidates(session: Session) -> list[Candidate]:
    """All candidates in order of speech."""
    out: list[Candidate] = []
    for line in session.lines:
        for find in KINDS:
            out += find(session, line)
    return out


def _inside(line: Line, i: int, *but: str) -> bool:
    """Whether token `i` lies in a quantity with a unit of its own, of a kind not named in `but`."""
    q = line.quantities
    spans = [] if "size" in but else [(s.first, s.last) for s in q.sizes if s.mm is not None]
    spans += [] if "length" in but else [(x.first, x.last) for x in q.lengths]
    spans += [] if "time" in but else [(d.first, d.last) for d in q.durations]
    spans += [] if "money" in but else [(m.first, m.last) for m in q.moneys if m.codes]
    return any(a <= i < b for a, b in spans)


def _money(session: Session, line: Line) -> Iterator[Candidate]:
    near = session.lines[max(0, line.index - NEAR) : line.index + NEAR + 1]
    open_ = line.section == "value" or any(
        x.section == "value" or (x.has("price.cue") and any(m.codes for m in x.quantities.moneys)) for x in near
    )
    for m in line.quantities.moneys:
        if m.minor or (line.section in THIRDS and not m.codes):
            continue
        if not m.codes and (not open_ or _inside(line, m.first, "money") or m.amount < 1):
            continue
        if within_range(line, m):
            continue
        number = next((n for n in line.quantities.numbers if n.first == m.first), None)
        if not m.codes and number is not None and in_percent(line, number):
            continue
        yield Candidate("money", m.amount, line, m.first, m.last, m.shape, m.codes, m.amounts)


def _count(session: Session, line: Line) -> Iterator[Candidate]:
    near = session.lines[max(0, line.index - 1) : line.index + 2]
    if line.section in THIRDS or not any(x.has("price.box") for x in near):
        return
    for n in line.quantities.numbers:
        if n.value == int(n.value) and 3 <= n.value <= 100 and not n.fraction and not _inside(line, n.first):
            yield Candidate("count", n.value, line, n.first, n.last, "ordinal" if n.ordinal else "whole")


LENGTH_RANGE_MM = (75.0, 260.0)


def _told(line: Line) -> bool:
    return line.section in ("background", "value", "aside", "appearance", "prelight", "verdict")


def _length(session: Session, line: Line) -> Iterator[Candidate]:
    if not _told(line):
        return
    taken: set[int] = set()
    found = [(s.mm, s.first, s.last, "size") for s in line.quantities.sizes if s.mm is not None]
    found += [(x.mm, x.first, x.last, "unit") for x in line.quantities.lengths]
    for n in line.quantities.numbers:
        if n.ordinal or _inside(line, n.first, "length", "size"):
            continue
        units = [x.unit for x in line.quantities.lengths if x.last <= n.first]
        units = units or [x.unit for x in line.quantities.lengths if x.first > n.first][:1]
        scaled = n.value * LENGTHS[units[-1]] if units and units[-1] in LENGTHS else None
        if scaled is not None and not LENGTH_RANGE_MM[0] <= scaled <= LENGTH_RANGE_MM[1]:
            scaled = None
        mm = scaled or bare_length(n.value)
        if mm is not None:
            found.append((mm, n.first, n.last, "fraction" if n.fraction or n.places else "bare"))
    for mm, first, last, shape in found:
        if first not in taken and LENGTH_RANGE_MM[0] <= mm <= LENGTH_RANGE_MM[1]:
            taken.add(first)
            yield Candidate("length", round(mm, 2), line, first, last, shape)


def _ring(session: Session, line: Line) -> Iterator[Candidate]:
    if not _told(line):
        return
    taken = {s.last for s in line.quantities.sizes}
    for n in line.quantities.numbers:
        whole = is_ring(n) and not n.fraction and not n.places
        if whole and not in_percent(line, n) and not _inside(line, n.first, "size"):
            yield Candidate("ring", n.value, line, n.first, n.last, "size" if n.last in taken else "bare")


_KEPT = frozenset({"value", "aside", "verdict", "appearance", "prelight"})


def _humidity(session: Session, line: Line) -> Iterator[Candidate]:
    early = line.index < session.opening and line.has("humidity.about")
    if line.section != "background" and not early and not (line.section in _KEPT and line.has("humidity.keeping")):
        return
    for n in line.quantities.numbers:
        kept = 55 <= n.value <= 80 and not n.ordinal and not n.fraction and not _inside(line, n.first)
        kept = kept and not not_kept(line, n.first, n.last)
        if kept and not any(s.first <= n.first < s.last for s in line.quantities.sizes):
            yield Candidate("humidity", n.value, line, n.first, n.last, "percent" if in_percent(line, n) else "bare")


def _rest(session: Session, line: Line) -> Iterator[Candidate]:
    if line.section in THIRDS:
        return
    long = [d for d in line.quantities.durations if d.unit in ("day", "week", "fortnight", "month", "year")]
    for d in long:
        if not_rested(line, d.first, d.last):
            continue
        yield Candidate("rest", round(d.days, 2), line, d.first, d.last, d.unit)
    for n in line.quantities.numbers:
        if n.ordinal or _inside(line, n.first) or not 1 <= n.value <= 400 or in_percent(line, n):
            continue
        if numbers_one(line, n) or not_rested(line, n.first, n.last) or _after_a_percent(line, long, n.first):
            continue
        before = [d for d in long if d.last <= n.first] or [d for d in long if d.first > n.first][:1]
        if before:
            yield Candidate("rest", round(n.value * UNITS[before[-1].unit] / DAY, 2), line, n.first, n.last, "bare")


def _after_a_percent(line: Line, long: Sequence[Duration], i: int) -> bool:
    """"forty days, at seventy, no, sixty-eight": after "at" and a number, a bare number corrects that, not the days."""
    start = max((d.last for d in long if d.last <= i), default=None)
    return start is not None and any(
        start < n.first <= i and line.tokens[n.first - 1].text == "at" for n in line.quantities.numbers
    )


SMOKED = (20.0, 300.0)


def _smoking(session: Session, line: Line) -> Iterator[Candidate]:
    paid = line.section == "value" and any(m.codes for m in line.quantities.moneys)
    if paid or line.section == "pairings":
        return
    spans = [d for d in line.quantities.durations if d.unit in ("minute", "min", "hour", "hr")]
    for d in spans:
        if SMOKED[0] <= d.minutes <= SMOKED[1] and not moment(line, d):
            yield Candidate("smoking", d.minutes, line, d.first, d.last, "unit")
    for n in line.quantities.numbers:
        before = [d for d in spans if d.last <= n.first]
        if n.ordinal or not before or _inside(line, n.first) or n.fraction or _of_a_length(line, n.first):
            continue
        hours = before[-1].minutes - before[-1].minutes % 60 if before[-1].unit in ("hour", "hr") else 0.0
        value = hours + n.value if n.value < 60 or not hours else n.value
        if SMOKED[0] <= value <= SMOKED[1] and n.value >= 5:
            yield Candidate("smoking", value, line, n.first, n.last, "bare")
    for n in net(line):
        yield Candidate("smoking", float(n.value), line, n.first, n.last, "net")
    times = clocks(line.tokens, line.quantities.numbers)
    if len(times) >= 2:
        for a, b, shape in ((times[0], times[-1], "clock"), (times[-1], times[0], "clock back")):
            if SMOKED[0] <= between(a, b) <= SMOKED[1]:
                last = max(times[0].last, times[-1].last)
                yield Candidate("smoking", float(between(a, b)), line, times[0].first, last, shape)


def _of_a_length(line: Line, i: int) -> bool:
    """"151 minus 30 are 121 millimetres": a number in the clause of a length."""
    first, last = line.clause(i)
    return any(first <= x.first < last for x in line.quantities.lengths)


def _vitola(session: Session, line: Line) -> Iterator[Candidate]:
    if line.section in THIRDS:
        return
    for hit in line.words.vitolas.find(line.tokens):
        shape = "common" if line.tokens[hit.first].text in COMMON and hit.last - hit.first == 1 else "name"
        yield Candidate("vitola", hit.value.said, line, hit.first, hit.last, shape)


def _leaf(session: Session, line: Line) -> Iterator[Candidate]:
    if line.section in THIRDS or line.section == "burn":
        return
    hits = line.words.leaves.find(line.tokens)
    for leaf in find_leaves(line.tokens, hits, 0, len(line.tokens)) if hits else ():
        shape = "+".join(n for n, x in (("country", leaf.country), ("place", leaf.places), ("seed", leaf.seeds)) if x)
        yield Candidate("leaf", leaf.text, line, leaf.first, leaf.last, shape or "colour")


def _country(session: Session, line: Line) -> Iterator[Candidate]:
    near = session.lines[max(0, line.index - 1) : line.index + 2]
    if line.section in THIRDS or line.section == "burn" or not any(x.has("country.made") for x in near):
        return
    for hit in line.words.leaves.find(line.tokens):
        place = hit.value.kind in ("country", "region") and line.tokens[hit.first].printed[:1].isupper()
        if place and hit.value.country:
            yield Candidate("country", hit.value.country, line, hit.first, hit.last, hit.value.kind)


def _name(session: Session, line: Line) -> Iterator[Candidate]:
    if line.section != "background" and line.index >= _FIRST and line.section != "appearance":
        return
    for run in runs(line):
        yield Candidate("name", run.text, line, run.first, run.last, f"{run.kind} {run.strength}")


_FIRST = 9
"""Sentences within which a speaker who opens with the name has said it, in whatever section."""

KINDS: tuple[Callable[[Session, Line], Iterator[Candidate]], ...] = (
    _money, _count, _length, _ring, _humidity, _rest, _smoking, _vitola, _leaf, _country, _name,
)
"""What is looked for in each sentence, in order."""
