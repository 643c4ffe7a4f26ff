"""Lengths in millimetres: inches in decimals or fractions, millimetres, centimetres. 1 inch is 25.4 mm exactly
(international yard and pound agreement, 1959)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.numbers.tokens import Token, texts

INCH_MM = 25.4
UNITS = {
    "inch": INCH_MM, "inches": INCH_MM, "″": INCH_MM,
    "mm": 1.0, "mil": 1.0, "mils": 1.0, "millimetre": 1.0, "millimetres": 1.0, "millimeter": 1.0, "millimeters": 1.0,
    "cm": 10.0, "centimetre": 10.0, "centimetres": 10.0, "centimeter": 10.0, "centimeters": 10.0,
}
_BARE_INCHES = (3.0, 10.0)
"""Cigars are about 3 to 10 inches long (common practice, no source): a bare number in this range is inches."""
_BARE_MM = (75.0, 260.0)


@dataclass(frozen=True, slots=True)
class Length:
    """`mm` of tokens `[first, last)`; `unit` is "" where none was said."""

    mm: float
    first: int
    last: int
    unit: str


def lengths(tokens: Sequence[Token], numbers: Sequence[Number]) -> tuple[Length, ...]:
    """Every number with a unit of length, and "an inch and a half"."""
    out: list[Length] = []
    for number in numbers:
        at = number.last
        if number.fraction and texts(tokens, at, at + 2) in (("of", "an"), ("of", "the")):
            at += 2
        unit = _unit_at(tokens, at)
        if unit and not number.ordinal:
            out.append(Length(number.value * UNITS[unit], number.first, at + 1, unit))
    parts = {n.first: n for n in numbers if n.fraction and n.value < 1}
    out += _an_inch(tokens, {x.last for x in out})
    return tuple(sorted((_with_part(tokens, x, parts) for x in out), key=lambda x: x.first))


def _unit_at(tokens: Sequence[Token], i: int) -> str | None:
    if i < len(tokens) and not tokens[i].breaks and tokens[i].text in UNITS:
        return tokens[i].text
    return None


def _an_inch(tokens: Sequence[Token], taken: set[int]) -> list[Length]:
    out = []
    for i, token in enumerate(tokens):
        if token.text in ("inch", "centimetre", "centimeter") and i + 1 not in taken and texts(tokens, i - 1, i) in (
            ("an",), ("a",), ("the",),
        ):
            out.append(Length(UNITS[token.text], i - 1, i + 1, token.text))
    return out


def _with_part(tokens: Sequence[Token], length: Length, parts: dict[int, Number]) -> Length:
    """"an inch and three quarters": the fraction after the unit counts in that unit."""
    if texts(tokens, length.last, length.last + 1) == ("and",) and length.last + 1 in parts:
        part = parts[length.last + 1]
        if _unit_at(tokens, part.last) is None:
            return Length(length.mm + part.value * UNITS[length.unit], length.first, part.last, length.unit)
    return length


def bare_length(value: float) -> float | None:
    """Millimetres of a length said without a unit: 6.5 is inches, 152 is millimetres, else None."""
    if _BARE_INCHES[0] <= value <= _BARE_INCHES[1]:
        return value * INCH_MM
    if _BARE_MM[0] <= value <= _BARE_MM[1]:
        return value
    return None
