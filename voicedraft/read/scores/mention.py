"""Finds every place where a number is given as a score, and what it is of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores import bare, whose
from voicedraft.read.scores.alike import both, same
from voicedraft.read.scores.announced import unit_of
from voicedraft.read.scores.aspect import (
    OVERALL,
    among,
    beside,
    for_the_whole,
    heading,
    name,
    named_after,
    named_before,
    opens,
    this_third,
    told_after,
)
from voicedraft.read.scores.full import full_marks
from voicedraft.read.scores.line import TASTED, Line, Phrases, Words
from voicedraft.read.scores.scale import Scale, scales
from voicedraft.read.scores.sums import summed

_IDLE = frozenset({"aside", "background", "pairings"})
_LEVELS = frozenset({"strength", "body"})
"""Given while smoking these are levels ("strength three from five"), read as strength, not as scores."""
_CLOSE = 0.15
"""Part of the scale within which a second value alone in its clause betters the first ("six out of ten, oh, that's
mean, six and a half")."""
_AHEAD = 3
"""A list in a verdict may say its scale with a value up to so many sentences later."""
_OPENING = 2
"""A sentence that corrects the one before opens with a turn of correction, within so many words."""
_TERSE = 4
"""Tokens at most in a line that is nothing but an aspect and its score: "Draw, eight."."""
_HUNDRED = 100
"""On this scale a value below a quarter counts something else, unless its aspect is named (common practice)."""
_HUNDRED_FROM = 50
"""A score above the scale said is on a hundred from here on; below it is no score (common practice, no source)."""
_NEAR_LINES = 2
"""Sentences within which a correction may follow its score."""


_PAIR = 2
_SMALL = frozenset({"a", "an", "well", "no", "maybe", "or", "actually", "say", "perhaps", "and"})
_TORN = Phrases.of(("torn between", "undecided between", "hovering between", "somewhere between"))
"""Two values, neither of them given yet."""


@dataclass(frozen=True, slots=True)
class Mention:
    """A value of an aspect, tokens `[first, last)` of `line`. `earlier` where the speaker sets it aside himself."""

    aspect: str
    value: float
    out_of: float | None
    line: Line
    first: int
    last: int
    earlier: bool
    rule: str


@dataclass(frozen=True)
class Session:
    """What holds for all lines: the scales said, and from which line on scores are read out."""

    rows: Sequence[Line]
    scales: Sequence[Sequence[Scale]]
    announced: int | None
    words: Words
    others: frozenset[Scale] = frozenset()
    """Scales on which only somebody else or another cigar was scored."""

    @classmethod
    def of(cls, rows: Sequence[Line], words: Words) -> Session:
        """Look through the lines once for scales and announcements."""
        units = frozenset(u for line in rows for n in line.numbers if (u := unit_of(line, n)) is not None)
        rows = [replace(line, units=units | {u.removesuffix("s") for u in units}) for line in rows] if units else rows
        found = [scales(line) for line in rows]
        announced = next((n for n, line in enumerate(rows) if _announces(line, found[n], words)), None)
        others = {
            s for line, row in zip(rows, found, strict=True) for s in row
            if s.number >= 0 and (
                whose.of_another_speaker(line, line.numbers[s.number], words)
                or whose.of_another_cigar(line, line.numbers[s.number], words)
            )
        }
        own = {s for line, row in zip(rows, found, strict=True) for s in row} - others
        return cls(rows, found, announced, words, frozenset(others - own))

    def scale_at(self, n: int, value: float = 0) -> float | None:
        """The scale said last up to and with line `n` that has room for `value`, else the first one after it.

        Where none has room, the last one said.
        """
        before = [
            s for row, line in zip(self.scales[: n + 1], self.rows[: n + 1], strict=True) for s in row
            if (not s.weak or s.number >= 0) and not (s.weak and line.section in TASTED | _IDLE)
        ]
        near = self.rows[n].section == "verdict"
        after = [
            s for k, row in enumerate(self.scales[n + 1 :]) for s in row
            if s.number < 0 or (near and k < _AHEAD and self.rows[n + 1 + k].section == "verdict")
        ]
        found = [*before[::-1], *after]
        said = [s.out_of for s in found if s not in self.others] or [s.out_of for s in found]
        return next((s for s in said if s >= value), said[0] if said else None)


def _announces(line: Line, found: Sequence[Scale], words: Words) -> bool:
    """Whether the line says that scores follow: a scale without a value, or a noun of scoring alone."""
    if line.section in TASTED:
        return False
    noun = line.noun(words)
    if any(s.number < 0 for s in found):
        return noun or line.section not in _IDLE
    plural = [t.text for t in line.tokens[:3] if t.text in words.verdict_nouns and t.text.endswith("s")]
    return bool(plural) and line.section == "verdict" and len(line.tokens) <= 8 and not line.numbers


def mentions(session: Session) -> list[Mention]:
    """All scores given, in order, rejected and supposed ones left out."""
    out: list[Mention] = []
    for n, line in enumerate(session.rows):
        on_scale = {s.number: s for s in session.scales[n] if s.number >= 0}
        taken = {i for s in session.scales[n] for i in range(s.first, s.last)}
        out += [*_slashed(session, line), *_full(session, line)]
        rest = _summed(session, line)
        if rest is not None:
            out.append(rest)
            continue
        for k, number in enumerate(line.numbers):
            if number.first in taken or number.last - 1 in taken or number.ordinal:
                continue
            if k in on_scale:
                mention = _explicit(session, line, number, on_scale[k])
            else:
                mention = _bare(session, line, number, out)
            if mention is not None:
                out += _shared(session, mention, number)
        out += _same(line, out, session.words)
    return out


def _summed(session: Session, line: Line) -> Mention | None:
    """What is left of marks taken off one by one."""
    rows, words = session.rows, session.words
    found = summed(line, rows[line.index - 1] if line.index else None) if line.section == "verdict" else None
    if found is None or whose.of_another_cigar(line, found.left, words) or whose.supposed(line, found.left, words):
        return None
    opening = [s for s in line.find(words.aspects, 0, line.numbers[0].first) if opens(line, s)]
    scale = next((s.out_of for s in session.scales[line.index] if s.out_of >= found.left.value), None)
    top = found.top.value if found.top is not None else None
    aspect = name(line, opening[0], words) if opening else OVERALL
    return Mention(aspect, found.left.value, scale or top, line, found.left.first, found.left.last, False, "sum")


def _full(session: Session, line: Line) -> list[Mention]:
    """"Full marks for the draw", "it gets all five", on the scale said."""
    out = []
    for found in full_marks(line, session.words):
        top = session.scale_at(line.index, found.value or 0)
        here = line.section == "verdict" or any(s.number < 0 for s in session.scales[line.index])
        told = found.value is None or (top == found.value and here)
        number = Number(top or 0.0, found.first, found.last)
        if top is not None and told and not _refused(line, number, found.last, session.words):
            out.append(Mention(found.aspect, top, None, line, found.first, found.last, False, "full marks"))
    return out


def _shared(session: Session, mention: Mention, number: Number) -> list[Mention]:
    """The mention, once for each aspect that shares it."""
    return [replace(mention, aspect=a) for a in both(mention.line, number, session.words)] or [mention]


def _same(line: Line, out: Sequence[Mention], words: Words) -> list[Mention]:
    """"And the same for the draw": the mark before, for another aspect."""
    recent = out[-1] if out and line.index - out[-1].line.index <= 1 else None
    if recent is None or recent.earlier:
        return []
    found = same(line, recent.last if recent.line.index == line.index else 0, recent.aspect, words)
    if found is None:
        return []
    return [replace(recent, aspect=found[0], line=line, first=found[1], last=found[2], rule="the same")]


def _cue(line: Line, words: Words) -> bool:
    return line.noun(words) or bool(line.find(words.named))


def _refused(line: Line, number: Number, last: int, words: Words) -> bool:
    return (
        whose.of_another_cigar(line, number, words) or whose.supposed(line, number, words)
        or whose.denied(line, number, words) or whose.difference(line, last)
        or whose.deducted(line, number) or whose.defined(line, number) or whose.referred(line, number)
        or whose.of_another_speaker(line, number, words)
    )


def _explicit(session: Session, line: Line, number: Number, scale: Scale) -> Mention | None:
    """A value with its scale."""
    words = session.words
    section = line.section
    cue = _cue(line, words)
    part = number.fraction and number.value < 1
    if line.index + 1 < len(session.rows) and whose.turned_down(session.rows[line.index + 1]):
        return None
    if number.value > scale.out_of or part or _refused(line, number, scale.last, words):
        return None
    if section == "aside" and not scale.weak and _verdict_near(session.rows, line, words):
        section, cue = "verdict", True
    elsewhere = section in TASTED | _IDLE
    if scale.weak and ((elsewhere and beside(line, number, False, words) is None) or not (cue or section == "verdict")):
        return None
    if elsewhere and not cue and this_third(line, number.first) is None:
        return None
    return _mention(session, line, number, scale.last, scale.out_of, "scale")


def _verdict_near(rows: Sequence[Line], line: Line, words: Words) -> bool:
    """Whether a line taken for an aside stands beside a verdict, or names a figure: it may be the verdict itself."""
    around = rows[max(line.index - _NEAR_LINES, 0) : line.index + _NEAR_LINES + 1]
    return any(row.section == "verdict" for row in around) or any(t.text in words.verdict_nouns for t in line.tokens)


def _slashed(session: Session, line: Line) -> list[Mention]:
    """"Draw 9/10"."""
    out = []
    for scale in _ratios(session, line):
        top = float(line.text(scale.first).partition("/")[0])
        number = Number(top, scale.first, scale.last)
        if top <= scale.out_of and not _refused(line, number, scale.last, session.words):
            mention = _mention(session, line, number, scale.last, scale.out_of, "scale")
            out += [mention] if mention else []
    return out


def _ratios(session: Session, line: Line) -> list[Scale]:
    found = [s for s in session.scales[line.index] if "/" in line.text(s.first)]
    return found if found and (line.section == "verdict" or _cue(line, session.words)) else []


def _bare(session: Session, line: Line, number: Number, before: Sequence[Mention]) -> Mention | None:
    """A value without its scale: in a list of scores, given by a verb of scoring, or correcting the one before."""
    words, section = session.words, line.section
    if not bare.free(line, number, words) or _refused(line, number, number.last, words):
        return None
    scale = session.scale_at(line.index, number.value)
    if scale is not None and scale < number.value < _HUNDRED_FROM:
        return None
    recent = before[-1] if before and line.index - before[-1].line.index <= _NEAR_LINES else None
    announced = session.announced is not None and (line.index >= session.announced or section == "verdict")
    near = _beside(session, line, number) is not None
    noun = line.noun(words)
    if bare.one(line, number) and not (announced and near):
        return None
    near = near or (line.index > 0 and heading(session.rows[line.index - 1], words) is not None)
    listed = announced and near and section not in _IDLE
    own = near and bare.given(line, number, words) and section not in TASTED | _IDLE and session.announced is not None
    alone = any(s.number < 0 for s in session.scales[line.index]) and line.clause_range(line.clause[number.first]) == (
        number.first, number.last
    )
    told = announced and section == "verdict" and (alone or bare.alone(line, number))
    named = section == "verdict" and (near or bool(line.find(words.overall))) and (scale is not None or noun)
    governed = bare.given(line, number, words) and section not in TASTED
    said = governed and (section == "verdict" or noun) and (scale is not None or noun)
    said = said or (section == "verdict" and bare.scored(line, number, words))
    told = told or (section == "verdict" and near and len(line.tokens) <= _TERSE)
    again = recent is not None and section not in TASTED and _again(line, number, recent, words)
    settled = recent is not None and recent.line.index == line.index and recent.out_of is not None and (
        not recent.earlier
    )
    small = scale == _HUNDRED and number.value < _HUNDRED / 4
    said, told = said and not settled and not small, told and not small
    by_itself = line.clause_range(line.clause[number.first]) == (number.first, number.last)
    here = section == "verdict" and scale is not None and by_itself and bool(line.find(words.this))
    told = told or (here and not settled)
    marked = bool(before) or announced
    told = told or (section == "verdict" and scale is not None and marked and bare.closes(line, number, words) and not (
        settled or small
    ))
    carried = near and settled and _beside(session, line, number) != (recent.aspect if recent else None)
    if not again and _closed(line, number, recent, words):
        return None
    if not (listed or own or told or named or said or again or carried):
        return _plain(session, line, number)
    if scale is None and recent is None and number.value < 5 and not noun and not said:
        return None
    rule = "list" if listed or own or named else "correction" if again else "given"
    found = _mention(session, line, number, number.last, None, rule, recent if again else None)
    return found if found is None or again or line.find(words.overall) else _beside_another(found, before)


def _beside_another(found: Mention, before: Sequence[Mention]) -> Mention:
    """The mark for all of it, as an earlier one where a firm mark for all of it stands already."""
    if found.aspect != OVERALL:
        return found
    stands = any(m.aspect == OVERALL and (m.out_of is not None or m.rule == "list") and not m.earlier for m in before)
    return replace(found, earlier=True) if stands else found


def _closed(line: Line, number: Number, recent: Mention | None, words: Words) -> bool:
    """"Overall is eight, and the year my band played we got four": the whole has its score, and nothing mends it.
    """
    if recent is None or recent.line.index != line.index or recent.earlier or recent.aspect != OVERALL:
        return False
    overall = bool(line.find(words.overall, 0, recent.first)) and not line.find(words.named, recent.last, number.first)
    parted = any(line.tokens[i].breaks for i in range(recent.last, number.first))
    return overall and parted and not bare.corrected(line, number, 0, words) and recent.value != number.value


def _plain(session: Session, line: Line, number: Number) -> Mention | None:
    """A verdict's number without a scale: it gives way to every value that stands on one."""
    words = session.words
    if line.section != "verdict" or bare.one(line, number) or not bare.plain(line, number, words):
        return None
    found = _mention(session, line, number, number.last, None, "given")
    return replace(found, earlier=True) if found else None


def _again(line: Line, number: Number, recent: Mention, words: Words) -> bool:
    """Whether the number corrects or repeats the score given just before."""
    if recent.line.index == line.index:
        close = abs(recent.value - number.value) <= _CLOSE * (recent.out_of or _HUNDRED)
        if recent.value == number.value and any(line.text(i) == "for" for i in range(recent.last, number.first)):
            return False
        start, end = line.clause_range(line.clause[number.first])
        led = all(line.text(i) in ("a", "an", "well", "say", "maybe") for i in range(start, number.first))
        bettered = close and led and end == number.last
        again = recent.value == number.value or recent.earlier or bare.corrected(line, number, 0, words)
        small = all(line.text(i) in _SMALL for i in range(recent.last, number.first))
        return again or (bettered and (recent.out_of is not None or small))
    if recent.line.section != line.section:
        return False
    alone = recent.out_of is not None and len(line.tokens) == number.last - number.first
    close = recent.earlier or abs(recent.value - number.value) <= _CLOSE * (recent.out_of or _HUNDRED)
    repeated = recent.value == number.value and not bare.closes(line, number, words)
    return repeated or bare.corrected(line, number, _OPENING, words) or (alone and close)


def _beside(session: Session, line: Line, number: Number) -> str | None:
    stop = min((n.first for n in line.numbers if n.first >= number.last), default=len(line.tokens))
    listed = session.announced is not None and line.index >= session.announced
    return beside(line, number, listed, session.words) or named_after(line, number.last, stop, session.words)


def _mention(
    session: Session, line: Line, number: Number, last: int, out_of: float | None, rule: str,
    recent: Mention | None = None,
) -> Mention | None:
    aspect = _aspect(session, line, number, last, recent)
    if aspect is None or (aspect in _LEVELS and line.section in TASTED):
        return None
    start, _ = line.clause_range(line.clause[number.first])
    aside = session.words.earlier if out_of is None else session.words.halfway
    risen = line.text(number.first - 1) in ("to", "into") and any(start <= n.first < number.first for n in line.numbers)
    earlier = bool(line.find(aside, start, number.first)) and not risen
    torn = line.find(_TORN, 0, number.first)
    values = [n for n in line.numbers if n.first not in _scales(session, line)]
    between = [n for n in values if torn and torn[-1][1] <= n.first <= number.first]
    earlier = earlier or 0 < len(between) <= _PAIR
    return Mention(aspect, number.value, out_of, line, number.first, last, earlier, rule)


def _scales(session: Session, line: Line) -> set[int]:
    """First tokens of the numbers that are scales."""
    return {n.first for n in line.numbers for s in session.scales[line.index] if s.first <= n.first < s.last}


def _aspect(session: Session, line: Line, number: Number, last: int, recent: Mention | None) -> str | None:
    """The nearest that names it: right beside, what it corrects, the sentence, a heading before, the remarks around."""
    words = session.words
    listed = session.announced is not None and line.index >= session.announced
    stop = min((n.first for n in line.numbers if n.first >= last), default=len(line.tokens))
    named = named_after(line, last, stop, words) or beside(line, number, listed, words)
    if named is None and recent is not None:
        return recent.aspect
    if named is None and for_the_whole(line, number, words):
        return OVERALL
    named = named or named_before(line, number, listed, words) or this_third(line, number.first)
    if named is None and line.index:
        named = heading(session.rows[line.index - 1], words)
    if named is None and line.index + 1 < len(session.rows) and last + _OPENING >= len(line.tokens):
        named = told_after(session.rows[line.index + 1], words)
    return named or among(session.rows, line, number.first, words)
