"""Fractions and mixed numbers: "six and a half", "5 and five eighths", "three-quarters", "13/16", "6½"."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.numbers.cardinal import DENOMINATORS, LONGEST, Number, cardinals
from voicedraft.read.numbers.tokens import Token

_SIGNS = {"½": 0.5, "¼": 0.25, "¾": 0.75, "⅛": 0.125, "⅜": 0.375, "⅝": 0.625, "⅞": 0.875, "⅓": 1 / 3, "⅔": 2 / 3}
_TENS = {("thirty", "second"): 32, ("thirty", "seconds"): 32, ("sixty", "fourth"): 64, ("sixty", "fourths"): 64}


def numbers(tokens: Sequence[Token]) -> tuple[Number, ...]:
    """Every number of the tokens in order, mixed numbers joined. Ranges never overlap."""
    whole = list(cardinals(tokens))
    fractions = _fractions(tokens, whole)
    taken = {i for f in fractions for i in range(f.first, f.last)}
    whole = [n for n in whole if not taken.intersection(range(n.first, n.last))]
    return tuple(_mixed(tokens, sorted(whole + fractions, key=lambda n: n.first)))


def _denominator(tokens: Sequence[Token], i: int) -> tuple[int, int]:
    """(denominator, tokens it takes) at `i`, or (0, 0)."""
    if i >= len(tokens):
        return 0, 0
    if tokens[i].text in DENOMINATORS:
        return DENOMINATORS[tokens[i].text], 1
    if i + 1 < len(tokens):
        tens = _TENS.get((tokens[i].text, tokens[i + 1].text))
        if tens:
            return tens, 2
    return 0, 0


def _fractions(tokens: Sequence[Token], whole: Sequence[Number]) -> list[Number]:
    by_last = {n.last: n for n in whole if not n.ordinal and not n.places}
    out: list[Number] = []
    for i, token in enumerate(tokens):
        if token.text in _SIGNS:
            out.append(Number(_SIGNS[token.text], i, i + 1, fraction=True))
        elif "/" in token.text:
            if len(token.text) > LONGEST:
                continue
            top, _, bottom = token.text.partition("/")
            if 0 < int(top) < int(bottom) <= 64:
                out.append(Number(int(top) / int(bottom), i, i + 1, fraction=True))
        else:
            found = _spoken(tokens, i, by_last)
            if found and not (out and found.first < out[-1].last):
                out.append(found)
    return out


def _spoken(tokens: Sequence[Token], i: int, by_last: dict[int, Number]) -> Number | None:
    """A spoken fraction whose denominator starts at `i`: "a half", "three quarters", "half"."""
    bottom, size = _denominator(tokens, i)
    if not bottom:
        return None
    top = by_last.get(i)
    if top is not None and not tokens[i].breaks and 0 < top.value < bottom:
        return Number(top.value / bottom, top.first, i + size, fraction=True)
    if top is not None and not tokens[i].breaks and top.last - top.first > 1:
        return _split_top(tokens, top, i, bottom, size)
    if i > 0 and tokens[i - 1].text in ("a", "an") and not tokens[i].breaks:
        return Number(1 / bottom, i - 1, i + size, fraction=True)
    if tokens[i].text in ("half", "quarter"):
        return Number(1 / bottom, i, i + size, fraction=True)
    return None


def _split_top(tokens: Sequence[Token], top: Number, i: int, bottom: int, size: int) -> Number | None:
    """"sixty one quarter" reads as 60 and a quarter where the last word alone is the top."""
    last = cardinals(tokens[i - 1 : i])
    if last and 0 < last[0].value < bottom:
        return Number(last[0].value / bottom, i - 1, i + size, fraction=True)
    return None


def _mixed(tokens: Sequence[Token], found: Sequence[Number]) -> list[Number]:
    out: list[Number] = []
    for number in found:
        before = out[-1] if out else None
        if before and number.fraction and number.value < 1 and _joins(tokens, before, number):
            out[-1] = Number(before.value + number.value, before.first, number.last, fraction=True)
        else:
            out.append(number)
    return out


def _joins(tokens: Sequence[Token], whole: Number, part: Number) -> bool:
    if whole.fraction or whole.ordinal or whole.places:
        return False
    between = tokens[whole.last : part.first]
    if any(t.breaks for t in between) or tokens[part.first].breaks:
        return False
    return not between or [t.text for t in between] == ["and"]
