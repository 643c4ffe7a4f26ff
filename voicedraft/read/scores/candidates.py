"""What may be a score: every number with every aspect named about it, and every number that may be a scale.

What each of them is (a mark, another cigar's, a price, a wish, one taken back) is judged by the learned signs.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.aspect import OVERALL, name
from voicedraft.read.scores.line import TASTED, Line, Words
from voicedraft.read.scores.scale import LARGEST, SMALLEST, Scale, scales, whole
from voicedraft.read.scores.sums import taken_off

BACK, AHEAD = 2, 1
"""Sentences before and after a number in which its aspect may be named."""
_SECTION_BACK = 4
"""Sentences of the same section before it in which "it" may be named."""
_OF_SECTION = {"value": "value", "appearance": "appearance", "burn": "burn"}
MOST = frozenset({
    "top", "tops", "most", "best", "maximum", "max", "highest", "ceiling", "limit", "perfect", "perfection", "full",
    "possible", "ideal", "tip", "summit", "finest", "greatest", "complete",
})
"""Words of the most that can be had."""
_RATIO = re.compile(r"(\d{1,12})/(\d{1,12})")


@dataclass(frozen=True, slots=True)
class Told:
    """`number` in `line`, with the form of words that makes it or its neighbour a scale, if any."""

    line: Line
    number: Number
    scale: Scale | None = None

    @property
    def value(self) -> float:
        """The value said."""
        return self.number.value


class Top(Told):
    """A number that may be a scale. `scale` where a form of words makes it one."""

    __slots__ = ()


class Mark(Told):
    """A number that may be a score, with the scale said right with it, if any."""

    __slots__ = ()

    @property
    def last(self) -> int:
        """The token after the value and its scale."""
        return max(self.number.last, self.scale.last if self.scale is not None else 0)

    @property
    def place(self) -> tuple[int, int]:
        """Sentence and token: the order of speech."""
        return self.line.index, self.number.first


@dataclass(frozen=True, slots=True)
class Named:
    """An aspect that a mark may be of. `span`: its tokens in `line`; None where only the remarks around name it.

    `how`: "here", "before", "after", "section" or "whole".
    """

    aspect: str
    line: Line
    span: tuple[int, int] | None
    how: str


def tops(rows: Sequence[Line], words: Words) -> list[Top]:
    """Every number that may be a scale, in order of speech; a percentage stands for a hundred."""
    out: list[Top] = []
    for line in rows:
        found = scales(line) if line.numbers else []
        told = line.section in _OPINIONS or (line.section not in TASTED and (
            line.noun(words) or line.noun_in(words.units) or line.noun_in(MOST)
        ))
        for number in line.numbers:
            if whole(number) and (found or told):
                mine = [s for s in found if s.first <= number.first < s.last and s.out_of == number.value]
                out.append(Top(line, number, mine[0] if mine else None))
        for scale in found:
            if not any(scale.first <= t.number.first < scale.last for t in out if t.line is line):
                out.append(Top(line, Number(scale.out_of, scale.first, scale.last), scale))
        out += [Top(line, Number(s.out_of, s.first, s.last), s) for s in _ratios(line) if s not in found]
    return out


def _ratios(line: Line) -> list[Scale]:
    out = []
    for i, token in enumerate(line.tokens):
        ratio = _RATIO.fullmatch(token.text)
        if ratio and SMALLEST <= int(ratio[2]) <= LARGEST and int(ratio[1]) <= int(ratio[2]):
            out.append(Scale(float(ratio[2]), i, i + 1))
    return out


def marks(rows: Sequence[Line], found: Sequence[Top], words: Words) -> list[Mark]:
    """Every number that may be a score, in order of speech: a scale has room for it, and scores may be given there."""
    most = max((t.value for t in found), default=0.0)
    with_scale = {
        (t.line.index, t.scale.number): t.scale for t in found if t.scale is not None and t.scale.number >= 0
    }
    out: list[Mark] = []
    for line in rows:
        given = _gives(line, words)
        for k, number in enumerate(line.numbers):
            scale = with_scale.get((line.index, k))
            if scale is None and not given:
                continue
            if not number.ordinal and 0 <= number.value <= most and (scale is None or number.value <= scale.out_of):
                out.append(Mark(line, number, scale))
        for scale in _ratios(line):
            top = float(line.text(scale.first).partition("/")[0])
            out = [m for m in out if m.line is not line or m.number.first != scale.first]
            out.append(Mark(line, Number(top, scale.first, scale.last), scale))
    return sorted(out, key=lambda m: m.place)


_OPINIONS = frozenset({"verdict", "palate"})
_SHORT = 6
"""Tokens at most in a sentence that may be hardly more than a mark."""


def _gives(line: Line, words: Words) -> bool:
    """Whether the sentence may give a mark without its scale: it speaks of marks or aspects, or is an opinion."""
    if line.section in _OPINIONS or line.noun(words) or line.noun_in(words.units) or line.find(words.named):
        return True
    return line.section in ("burn", "value", "aside") and (line.noun_in(words.give) or len(line.tokens) <= _SHORT)


MOST_HERE = 12
"""Aspects of one sentence that are weighed for one number, the nearest: a whole transcript without full stops is one
sentence, and nobody gives so many marks in one."""


def aspects(rows: Sequence[Line], mark: Mark, words: Words) -> list[Named]:
    """Every aspect that the mark may be of, the nearest first; the whole cigar is always among them. What is left after
    marks were taken off is of none that they were taken off for."""
    line, at = mark.line, mark.line.index
    taken = taken_off(line)
    stop = taken[0].first if taken and taken[-1].first < mark.number.first else len(line.tokens)
    here = [span for span in spans(line, words) if span[0] < stop]
    lasting = [Named("finish", line, span, "here") for span in _lasting(line) if span[0] < stop]
    near = set(sorted(here, key=lambda span: abs(span[0] - mark.number.first))[:MOST_HERE])
    out = [_named(line, span, "here", words) for span in here if span in near] + lasting[:1]
    for step in range(1, BACK + 1):
        if at - step >= 0:
            out += [_named(rows[at - step], s, "before", words) for s in spans(rows[at - step], words)[::-1]]
    for step in range(1, AHEAD + 1):
        if at + step < len(rows):
            out += [_named(rows[at + step], s, "after", words) for s in spans(rows[at + step], words)]
    passage = line.passages[mark.number.first]
    section = passage.section if passage else "aside"
    if section in _OF_SECTION:
        out.append(Named(_OF_SECTION[section], line, None, "section"))
    if passage is not None and passage.stage in ("first", "second", "final"):
        out.append(Named(f"{passage.stage} third", line, None, "section"))
    for back in rows[max(at - _SECTION_BACK, 0) : max(at - BACK, 0)][::-1]:
        if back.section == section:
            out += [_named(back, s, "section", words) for s in back.find(words.aspects)[-1:]]
    out.append(Named(OVERALL, line, None, "whole"))
    return out


_DONE, _WITH = frozenset({"look", "value"}), frozenset({"at", "for", "like", "from", "it"})
"""Aspects that are none where they are verbs with these: "look at that", "I value from eighty"."""
_TIMES = frozenset({"after", "before", "since", "until", "till", "during", "throughout", "into", "past"})
"""Before a third these tell when, not of what: "after the last third I reduce it"."""


def spans(line: Line, words: Words) -> list[tuple[int, int]]:
    """Where aspects and the whole are named."""
    return [
        s for s in line.find(words.named)
        if not (line.text(s[1] - 1) in _DONE and line.text(s[1]) in _WITH and line.joined(s[1]))
        or line.pos[s[1] - 1] != "VERB"
        if not _a_time(line, s) and not _burnt(line, s) and not _all_along(line, s) and not _at_a_price(line, s)
    ]


_STAYS = frozenset({"stays", "stay", "stayed", "staying", "lasts", "lasted", "lingers", "lingered", "hangs"})


def _lasting(line: Line) -> list[tuple[int, int]]:
    """Among remarks on the smoke as a whole, how long it stays is its finish: "nine for how it stays"."""
    out = []
    for i in range(len(line.tokens)):
        passage = line.passages[i]
        if line.text(i) in _STAYS and passage is not None and passage.section == "palate" and not line.noun_in(_FINISH):
            out.append((i, i + 1))
    return out


_FINISH = frozenset({"finish", "aftertaste"})


def _burnt(line: Line, span: tuple[int, int]) -> bool:
    """"Burnt toast" is a flavour, and nothing of the burn."""
    last = span[1]
    return line.text(last - 1) == "burnt" and line.joined(last) and line.pos[last] in ("NOUN", "PROPN")


def _a_time(line: Line, span: tuple[int, int]) -> bool:
    lead = span[0] - 1
    while line.text(lead) in ("the", "that", "this", "my") and line.joined(lead + 1):
        lead -= 1
    return line.text(span[1] - 1) == "third" and line.text(lead) in _TIMES and line.joined(lead + 1)


def _all_along(line: Line, span: tuple[int, int]) -> bool:
    """"From start to finish", "beginning to finish" tells how long; the finish itself has its article."""
    i = span[0]
    return line.text(i) == "finish" and line.texts[max(i - 1, 0) : i] == ("to",) and line.text(i - 2) in _BEGINNINGS


def _at_a_price(line: Line, span: tuple[int, int]) -> bool:
    """"At that price it wants a better burn" marks no price."""
    i = span[0]
    return line.text(i) == "price" and line.text(i - 1) in ("that", "this", "the") and line.text(i - 2) == "at"


_BEGINNINGS = frozenset({"start", "beginning", "first", "light", "lighting", "top", "foot", "outset", "opening"})


def _named(line: Line, span: tuple[int, int], how: str, words: Words) -> Named:
    return Named(called(line, span, words), line, span, how)


def called(line: Line, span: tuple[int, int], words: Words) -> str:
    """The aspect named at the span, or the whole."""
    whole_ = line.texts[span[0] : span[1]] in words.overall
    return OVERALL if whole_ else name(line, span, words)
