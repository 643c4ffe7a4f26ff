"""Whole and decimal numbers, in digits or spelt, with their token ranges. Spelt ones are read by text2num.

text2num leaves out a few words that speakers use: "nil", "nought", "a dozen", "point 5", and digits before "hundred".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from text_to_num import find_numbers

from voicedraft.read.numbers.tokens import Token

_DIGITS = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+(?:\.\d+)?")
_ORDINAL = re.compile(r"\d+(?:st|nd|rd|th)")
_EXTRA = {"nil": 0.0, "nought": 0.0, "naught": 0.0, "dozen": 12.0}
_SCALES = {"hundred": 100.0, "thousand": 1000.0}
LONGEST = 15
"""Characters of the longest printed number that is read, twelve digits and their commas; our own bound: nothing that is
told of a cigar is longer, and a float stands for whole numbers of this length exactly (IEEE 754: up to 2**53)."""
_MOST = 1e12
"""What "hundred" and "dozen" after a number still multiply."""
DENOMINATORS = {
    "half": 2, "halves": 2, "quarter": 4, "quarters": 4, "eighth": 8, "eighths": 8, "sixteenth": 16, "sixteenths": 16,
}
"""Fractions that rulers and purses use; thirty-seconds and sixty-fourths are read in `fraction`."""


@dataclass(frozen=True, slots=True)
class Number:
    """`value` of tokens `[first, last)`; `places` is how many decimals were said; `ordinal` for "second", "2nd"."""

    value: float
    first: int
    last: int
    places: int = 0
    ordinal: bool = False
    fraction: bool = False
    """A fraction was said with it: "six and a half", "three quarters"."""
    digits: bool = False
    """Printed in digits."""


class _Spelt:
    """One token as text2num wants it."""

    def __init__(self, token: Token, part: bool) -> None:
        self._token, self._part = token, part

    def text(self) -> str:
        return self._token.text

    def nt_separated(self, previous: object) -> bool:
        return self._token.breaks

    def not_a_number_part(self) -> bool:
        return not self._part


def cardinals(tokens: Sequence[Token]) -> tuple[Number, ...]:
    """All numbers in order, fractions aside."""
    found = _digits(tokens) + _spelt(tokens)
    found.sort(key=lambda n: n.first)
    return tuple(_join(tokens, found))


def _digits(tokens: Sequence[Token]) -> list[Number]:
    out = []
    for i, token in enumerate(tokens):
        if len(token.text) > LONGEST or not token.text[0].isdigit():
            continue
        if _DIGITS.fullmatch(token.text):
            places = len(token.text.partition(".")[2])
            out.append(Number(float(token.text.replace(",", "")), i, i + 1, places, digits=True))
        elif _ORDINAL.fullmatch(token.text):
            out.append(Number(float(token.text[:-2]), i, i + 1, ordinal=True, digits=True))
    return out


def _number_like(token: Token) -> bool:
    return token.text not in DENOMINATORS and not token.text[0].isdigit()


def _between(tokens: Sequence[Token], i: int) -> bool:
    """Whether the "and" at token `i` stands between two numbers: "between four hundred and four hundred and twenty".

    Both have the same "hundred" or "thousand"; "a hundred and twenty thousand" and "two thousand and four hundred" are
    one number.
    """
    if tokens[i].text != "and":
        return False
    before = [t.text for t in tokens[max(0, i - _SCALED) : i]]
    after = [t.text for t in tokens[i + 1 : i + 1 + _SCALED]]
    left = next((w for w in reversed(before) if w in _SCALES), "")
    right = next((w for w in after if w in _SCALES), "")
    return bool(left) and left == right and after[0] not in _SCALES and "and" not in after[: after.index(right)]


_SCALED = 3
"""Tokens on either side of an "and" within which the "hundred" of either number stands: "three hundred eighty and ..".
"""


def _spelt(tokens: Sequence[Token]) -> list[Number]:
    out: list[Number] = []
    spelt = [_Spelt(t, _number_like(t) and not _between(tokens, i)) for i, t in enumerate(tokens)]
    for found in find_numbers(spelt, "en", 0):
        first, last = found.start, found.end
        if found.is_ordinal or all(t.text[0].isdigit() for t in tokens[first:last]):
            if found.is_ordinal and not tokens[first].text[0].isdigit():
                out.append(Number(float(found.value), first, last, ordinal=True))
            continue
        places = len(found.text.partition(".")[2])
        out.append(Number(float(found.value), first, last, places))
    taken = {i for n in out for i in range(n.first, n.last)}
    for i, token in enumerate(tokens):
        if token.text in _EXTRA and i not in taken:
            out.append(Number(_EXTRA[token.text], i, i + 1))
    return out


def _join(tokens: Sequence[Token], found: list[Number]) -> list[Number]:
    """Joins what text2num left apart: "2 hundred", "half a dozen", "point five", "six point 5", "six oh five"."""
    out: list[Number] = []
    for number in found:
        before = out[-1] if out else None
        near = before is not None and before.last == number.first and not tokens[number.first].breaks
        if before and near and before.value <= _MOST:
            scale = _SCALES.get(tokens[number.first].text)
            if scale and number.last == number.first + 1 and before.digits:
                out[-1] = replace(before, value=before.value * scale, last=number.last)
                continue
            if tokens[number.first].text == "dozen":
                out[-1] = replace(before, value=before.value * 12.0, last=number.last)
                continue
        point = number.first - 1
        if point >= 0 and tokens[point].text == "point" and not number.places and not number.ordinal:
            joined = before is not None and before.last == point and not before.places
            if not joined and not _lone_point(tokens, point):
                out.append(number)
                continue
            whole = before.value if joined and before else 0.0
            digits = f"{number.value:.0f}"
            first = before.first if joined and before else point
            if joined:
                out.pop()
            out.append(Number(whole + float(f"0.{digits}"), first, number.last, len(digits)))
            continue
        out.append(number)
    return out


_BEFORE_POINT = frozenset({
    "a", "of", "about", "by", "only", "just", "at", "is", "was", "under", "over", "and", "or", "to",
})


def _lone_point(tokens: Sequence[Token], point: int) -> bool:
    """"point five" stands for 0.5 at the start of a clause or after a small word, not in "set point 68"."""
    return point == 0 or tokens[point].breaks or tokens[point - 1].text in _BEFORE_POINT
