"""Numbers as they are spoken, with their places: whole, decimal, fraction, length, size, duration, money.

`read_quantities` finds all of them in a sentence at once.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.numbers.duration import Duration, durations
from voicedraft.read.numbers.fraction import numbers
from voicedraft.read.numbers.length import Length, lengths
from voicedraft.read.numbers.money import Currencies, Money, moneys
from voicedraft.read.numbers.size import Size, sizes
from voicedraft.read.numbers.tokens import Token

__all__ = [
    "Currencies", "Duration", "Length", "Money", "Number", "Quantities", "Size", "Token", "read_quantities",
]


@dataclass(frozen=True, slots=True)
class Quantities:
    """All quantities of one sentence, each kind in order. Token ranges of different kinds may overlap."""

    tokens: tuple[Token, ...]
    numbers: tuple[Number, ...]
    lengths: tuple[Length, ...]
    sizes: tuple[Size, ...]
    durations: tuple[Duration, ...]
    moneys: tuple[Money, ...]


def read_quantities(tokens: tuple[Token, ...], currencies: Currencies) -> Quantities:
    """Every number of the tokens and what it measures."""
    found = numbers(tokens)
    long = lengths(tokens, found)
    return Quantities(
        tokens, found, long, sizes(tokens, found, long), durations(tokens, found), moneys(tokens, found, currencies)
    )
