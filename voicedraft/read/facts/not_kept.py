"""Rule: percentages and times that are not this cigar's keeping, by what stands right around them.

"I'm sixty-one" is an age, "one Sunday it was sixty-three" a single day, "the first five weeks at 72" is over; "six
months might" is only supposed, and "hung fifty days" is told of a leaf in the barn.
"""

from __future__ import annotations

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.small_words import MODALS

_AM = frozenset({"i'm", "you're", "he's", "she's", "am", "'m", "aged"})
_ONCE = frozenset({
    "day", "morning", "evening", "night", "time", "week", "month", "monday", "tuesday", "wednesday", "thursday",
    "friday", "saturday", "sunday", "afternoon", "weekend",
})
_CURING = frozenset({
    "hung", "hang", "hangs", "hanging", "cured", "cures", "fermented", "ferments", "fermenting", "sweated", "sweats",
    "dried", "dries",
})
"""What is done to a leaf in the barn, before there is a cigar (common practice, no source)."""
_REACH = 4
"""Tokens before a time within which its verb of curing stands; our own choice, no outside source."""


def not_kept(line: Line, first: int, last: int) -> bool:
    """Whether the number at tokens `[first, last)` is no humidity that the cigar was kept at."""
    start, _ = line.clause(first)
    opening = [t.text for t in line.tokens[start:first]]
    opening = opening[1:] if opening[:1] in (["and"], ["but"], ["only"]) else opening
    age = line.tokens[first - 1].text in _AM if first else False
    age = age or [t.text for t in line.tokens[last : last + 2]] == ["years", "old"]
    single = opening[:1] == ["one"] and bool(_ONCE & set(opening[1:2]))
    spans = [d for d in line.quantities.durations if start <= d.first < first]
    over = any(line.tokens[d.first - 1].text == "first" for d in spans if d.first > start)
    return age or single or over or _in_a_price(line, first)


def _in_a_price(line: Line, first: int) -> bool:
    """"a box for three seventy-two": the second number of a price in words."""
    return line.section == "value" and any(
        m.shape == "pair" and m.first < first < m.last for m in line.quantities.moneys
    )


def not_rested(line: Line, first: int, last: int) -> bool:
    """Whether the time at tokens `[first, last)` is no rest that the cigar had."""
    after = line.tokens[last].text if last < len(line.tokens) and not line.tokens[last].breaks else ""
    start, _ = line.clause(first)
    before = {t.text for t in line.tokens[max(start, first - _REACH) : first]}
    spans = line.quantities.durations
    part = first > 0 and line.tokens[first - 1].text == "first" and any(d.last <= first for d in spans)
    return part or after in MODALS or bool(_CURING & before) or _called_otherwise(line, first) or _a_rule(line, first)


def _a_rule(line: Line, first: int) -> bool:
    """"You don't touch a new box for a month", "you're meant to give them six weeks": what one does, not what was done;
    "and I did", "so I gave them that" after it tells that it was."""
    start, end = line.clause(first)
    before = {t.text for t in line.tokens[start:first]}
    own = {"i", "i've", "i'd", "we", "we've", "mine"} & before
    anyone = {"you", "you're", "one", "people", "they", "everyone", "everybody"} & before and not own
    bound = {"n't", "never", "should", "must", "meant", "supposed", "ought", "don't", "shouldn't", "rule"} & before
    done = {t.text for t in line.tokens[end:]} & {"did", "done", "gave", "obeyed"} and "i" in line.vocabulary
    return bool(anyone and bound and not done)


_SETTLED = 12
"""Tokens after a time within which the speaker settles on another; our own choice, no outside source."""


def _called_otherwise(line: Line, first: int) -> bool:
    """"five weeks, six, call it six": what the speaker settles on stands, and what was said before it does not."""
    texts = [t.text for t in line.tokens]
    settled = [
        i + 2 for i in range(first + 1, min(first + _SETTLED, len(texts) - 2))
        if texts[i : i + 2] == ["call", "it"] and not {"percent", "cent", "%"} & set(texts[first:i])
    ]
    return any(n.first in settled for n in line.quantities.numbers)
