"""Amounts of money: "£14.60", "nine pounds fifty", "eleven euros and 40 cents", "12 guineas", "thirteen fifty".

Currency words come from the lexicon; codes are ISO 4217. A word that several currencies share ("dollars") gives all of
them, and the speaker's own decides elsewhere.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.numbers.duration import unit_of
from voicedraft.read.numbers.length import UNITS as LENGTH_UNITS
from voicedraft.read.numbers.phrases import Phrases
from voicedraft.read.numbers.tokens import Token, fold, texts

Codes = tuple[tuple[str, float], ...]
"""Pairs of ISO 4217 code and what one of the word is worth in the currency's unit; worth other than 1 is slang."""


@dataclass(frozen=True, slots=True)
class Money:
    """`amount` of tokens `[first, last)`. `codes` is empty where no currency was said.

    `amounts` holds the amount in each currency of `codes` where a slang word is worth different amounts ("bob").
    `minor` for "85 pence" alone; `shape` is how a bare amount was said: "pair" (thirteen fifty), "fraction" (nine and a
    quarter), "decimal" (9.25) or "whole".
    """

    amount: float
    first: int
    last: int
    codes: tuple[str, ...] = ()
    minor: bool = False
    shape: str = "whole"
    amounts: tuple[float, ...] = ()

    def amount_in(self, code: str) -> float:
        """The amount in the currency `code`."""
        return self.amounts[self.codes.index(code)] if self.amounts and code in self.codes else self.amount


class Currencies:
    """The money words of lexicon/trade.toml, ready to match."""

    def __init__(self, table: Mapping[str, Any]) -> None:
        units: dict[str, list[tuple[str, float]]] = {}
        minors: dict[str, list[tuple[str, float]]] = {}
        self._symbols: dict[str, list[str]] = {}
        self._codes: frozenset[str] = frozenset(c["code"] for c in table.get("currency", ()))
        for currency in table.get("currency", ()):
            code = str(currency["code"])
            for name in currency.get("names", ()):
                units.setdefault(fold(name), []).append((code, 1.0))
            for name, worth in currency.get("slang", {}).items():
                units.setdefault(fold(name).removeprefix("a "), []).append((code, float(worth)))
            subunit = currency.get("subunit", {})
            for name in subunit.get("names", ()):
                minors.setdefault(fold(name), []).append((code, 1.0 / subunit["per"]))
            for symbol in currency.get("symbols", ()):
                self._symbols.setdefault(fold(symbol), []).append(code)
        for symbol, codes in list(self._symbols.items()):
            if symbol[0].isalpha() and not symbol[-1].isalnum() and symbol[-1] in self._symbols:
                self._symbols[symbol[-1]] += [c for c in codes if c not in self._symbols[symbol[-1]]]
        for shared in table.get("money", {}).get("shared", ()):
            self._share(units, fold(shared))
        self._adjectives = self._qualifiers(units)
        self._units = Phrases({name: tuple(codes) for name, codes in units.items()})
        self._minors = Phrases({name: tuple(codes) for name, codes in minors.items()})

    @staticmethod
    def _share(units: dict[str, list[tuple[str, float]]], word: str) -> None:
        """A shared word belongs to every currency whose full name ends in it."""
        have = {code for code, _ in units.get(word, ())}
        for name, codes in list(units.items()):
            if name.endswith(" " + word) and name != word:
                units.setdefault(word, []).extend((c, w) for c, w in codes if c not in have)
                have |= {c for c, _ in codes}

    @staticmethod
    def _qualifiers(units: Mapping[str, list[tuple[str, float]]]) -> dict[str, str]:
        """"canadian" of "canadian dollars": the word that tells whose dollars they are."""
        out: dict[str, str] = {}
        for name, codes in units.items():
            first, _, rest = name.rpartition(" ")
            if first and rest in units and len(codes) == 1:
                out[first] = codes[0][0]
        return out

    def qualified(self, tokens: Sequence[Token], i: int, codes: Sequence[str]) -> str | None:
        """The code that a word after the amount picks from `codes`: "eleven dollars fifty, US"."""
        if i >= len(tokens) or not tokens[i].printed[:1].isupper():
            return None
        code = self._adjectives.get(tokens[i].text)
        ends = i + 1 == len(tokens) or tokens[i + 1].breaks or tokens[i + 1].text in ("for", "each", "a", "and", "per")
        return code if code is not None and ends and (not codes or code in codes) else None

    def unit_at(self, tokens: Sequence[Token], i: int) -> tuple[Codes, int]:
        """(codes with their worth, token after) of the currency word at `i`, or ((), i)."""
        if i >= len(tokens) or tokens[i].stops:
            return (), i
        hit = self._units.at(tokens, i)
        if hit is not None:
            return hit.value, hit.last
        if tokens[i].printed in self._codes:
            return ((tokens[i].printed, 1.0),), i + 1
        if tokens[i].text in self._symbols and not tokens[i].text.isalpha():
            return tuple((c, 1.0) for c in self._symbols[tokens[i].text]), i + 1
        return (), i

    def minor_at(self, tokens: Sequence[Token], i: int) -> tuple[Codes, int]:
        """The same for cents, pence and their like."""
        hit = self._minors.at(tokens, i) if i < len(tokens) and not tokens[i].breaks else None
        return (hit.value, hit.last) if hit is not None else ((), i)

    def before(self, tokens: Sequence[Token], i: int) -> tuple[Codes, int]:
        """(codes, token where it starts) of a sign or code just before token `i`, or ((), i)."""
        if i == 0 or tokens[i].breaks:
            return (), i
        sign = tokens[i - 1].text
        if i > 1 and tokens[i - 1].glued and tokens[i - 2].text + sign in self._symbols:
            return tuple((c, 1.0) for c in self._symbols[tokens[i - 2].text + sign]), i - 2
        if sign in self._symbols and not sign.isalpha():
            return tuple((c, 1.0) for c in self._symbols[sign]), i - 1
        if tokens[i - 1].printed in self._codes:
            return ((tokens[i - 1].printed, 1.0),), i - 1
        return (), i


def moneys(tokens: Sequence[Token], numbers: Sequence[Number], currencies: Currencies) -> tuple[Money, ...]:
    """Every amount in order, named or bare. Numbers that count time, length or percent are left out."""
    by_first = {n.first: n for n in numbers}
    out: list[Money] = []
    for number in numbers:
        if number.ordinal or (out and number.first < out[-1].last):
            continue
        found = _named(tokens, number, by_first, currencies) or _bare(tokens, number, by_first)
        if found is not None:
            counts = not found.codes and found.shape == "whole" and _after_a_break(tokens, found.last)
            code = None if counts else currencies.qualified(tokens, found.last, found.codes)
            out.append(replace(found, codes=(code,), amounts=()) if code is not None else found)
    out = [_named_apart(tokens, money, currencies) for money in out]
    out += _slang_alone(tokens, out, currencies)
    return tuple(_even(tokens, m) for m in sorted(out, key=lambda m: m.first))


def _after_a_break(tokens: Sequence[Token], i: int) -> bool:
    """"three, Dominican, Nicaraguan": what stands behind a comma says nothing of a bare number before it."""
    return i < len(tokens) and tokens[i].breaks


def _named(
    tokens: Sequence[Token], number: Number, by_first: Mapping[int, Number], currencies: Currencies
) -> Money | None:
    codes, first = currencies.before(tokens, number.first)
    if codes:
        extra, last = _minor(tokens, number.last, by_first, currencies) if not number.places else (0.0, number.last)
        after, end = currencies.unit_at(tokens, last)
        names = {c for c, _ in after}
        codes = tuple(c for c in codes if c[0] in names) or codes
        return Money(number.value + extra, first, end, tuple(c for c, _ in codes))
    at = number.last
    if at < len(tokens) and tokens[at].breaks:
        return None
    minor, end = currencies.minor_at(tokens, at)
    if minor and tokens[at].text not in ("p",):
        return Money(number.value * minor[0][1], number.first, end, tuple(c for c, _ in minor), minor=True)
    codes, end = currencies.unit_at(tokens, at + _rough(tokens, at))
    if not codes:
        return _named_after_pair(tokens, number, by_first, currencies)
    extra, end = _minor(tokens, end, by_first, currencies)
    amounts = tuple(round(number.value * worth + extra, 4) for _, worth in codes)
    return Money(amounts[0], number.first, end, tuple(c for c, _ in codes), amounts=amounts)


_ROUGH = (
    ("even",), ("odd",), ("something",), ("plus",), ("or", "so"), ("and", "odd"), ("and", "something"),
    ("and", "change"),
)
"""What stands between a number and its money word where the amount is round or rough (from memory of English)."""


def _rough(tokens: Sequence[Token], at: int) -> int:
    """"eighteen hundred and something pounds", "nine even dollars": how many tokens stand before the money word."""
    size = next((len(words) for words in _ROUGH if texts(tokens, at, at + len(words)) == words), 0)
    return 0 if any(t.breaks for t in tokens[at : at + size + 1]) else size


_OTHER_SENSES = frozenset({"real", "mark", "marks", "crown", "som", "lek", "sum", "pound"})
"""Money words that stand alone for something else more often: "ten, real slow", "eight, marks for it"."""


def _named_apart(tokens: Sequence[Token], money: Money, currencies: Currencies) -> Money:
    """"Sixteen fifty, euros that is", "two eighty, Dan, rand, for one": the currency behind a comma, on its own.

    Somebody addressed may stand between. The money word has to end its clause or be pointed at by "that is", so that
    "ten, dollars are dear" says nothing of the ten.
    """
    at = money.last
    if money.codes or money.minor or at >= len(tokens) or not tokens[at].breaks or tokens[at].stops:
        return money
    if tokens[at].printed[:1].isupper() and at + 1 < len(tokens) and tokens[at + 1].breaks:
        at += 1
    if tokens[at].text in _OTHER_SENSES:
        return money
    codes, end = currencies.unit_at(tokens, at)
    closed = end == len(tokens) or (end < len(tokens) and tokens[end].breaks)
    closed = closed or texts(tokens, end, end + 2) in (("that", "is"), ("that", "'s")) or texts(
        tokens, end, end + 1) == ("that's",)
    if not codes or not closed or any(worth != 1 for _, worth in codes):
        return money
    return replace(money, codes=tuple(c for c, _ in codes), last=end)


def _named_after_pair(
    tokens: Sequence[Token], number: Number, by_first: Mapping[int, Number], currencies: Currencies
) -> Money | None:
    """"thirteen fifty dollars"."""
    pair = _bare(tokens, number, by_first)
    if pair is None or pair.shape != "pair":
        return None
    codes, end = currencies.unit_at(tokens, pair.last)
    if not codes or tokens[pair.last].breaks:
        return None
    return replace(pair, codes=tuple(c for c, _ in codes), last=end)


def _minor(
    tokens: Sequence[Token], i: int, by_first: Mapping[int, Number], currencies: Currencies
) -> tuple[float, int]:
    """(part of a unit, token after) for "80", "and 40 cents", "and a quarter" after the currency word."""
    link = texts(tokens, i, i + 1)
    linked = link in (("and",), ("with",)) and not tokens[i].breaks
    joined = linked and link == ("and",)
    part = by_first.get(i + linked)
    if part is None or tokens[part.first].breaks or part.ordinal or part.places:
        return 0.0, i
    if part.fraction:
        return (part.value, part.last) if joined and part.value < 1 else (0.0, i)
    codes, end = currencies.minor_at(tokens, part.last)
    if codes:
        return part.value * codes[0][1], end
    if not 5 <= part.value < 100 or _counts_something(tokens, part.last):
        return 0.0, i
    if joined and not (part.value % 5 == 0 and _stands_alone(tokens, part.last)):
        return 0.0, i
    return part.value / 100, part.last


_AFTER_A_SUM = frozenset({"there", "here", "i", "we", "you", "apiece"})
"""What may stand behind a whole price; "and fifty is the box", "and fifty they smoke" begin something else."""


def _stands_alone(tokens: Sequence[Token], i: int) -> bool:
    """Nothing that a number could count stands at `i`: "thirteen euros and 20 there"; not "ten euros and 20 people"."""
    return i >= len(tokens) or tokens[i].breaks or tokens[i].text in _AFTER_A_SUM


def _counts_something(tokens: Sequence[Token], i: int) -> bool:
    """The token at `i` makes the number before it a count of something that is not money."""
    if i >= len(tokens) or tokens[i].breaks:
        return False
    text = tokens[i].text
    if text == "per" and texts(tokens, i + 1, i + 2) != ("cent",):
        return False
    return unit_of(text) is not None or text in LENGTH_UNITS or text in ("%", "percent", "per", "degrees", "by", "x")


def _bare(tokens: Sequence[Token], number: Number, by_first: Mapping[int, Number]) -> Money | None:
    if _counts_something(tokens, number.last):
        return None
    linked = number.digits and texts(tokens, number.last, number.last + 1) == ("with",)
    follower = by_first.get(number.last + linked)
    pair = (
        follower is not None and not tokens[follower.first].breaks and not follower.ordinal
        and not number.fraction and not follower.fraction and not number.places
        and number.value == int(number.value) and 10 <= follower.value <= 99 and 1 <= number.value < 1000
        and number.digits == follower.digits and (not tokens[follower.first].gap or _hyphened(tokens, number, follower))
        and not _counts_something(tokens, follower.last)
    )
    if pair and follower is not None:
        return Money(number.value + follower.value / 100, number.first, follower.last, shape="pair")
    nil = _spelt_nil(tokens, number, by_first)
    if nil is not None:
        return nil
    shape = "fraction" if number.fraction else "decimal" if number.places else "whole"
    return Money(number.value, number.first, number.last, shape=shape)


def _spelt_nil(tokens: Sequence[Token], number: Number, by_first: Mapping[int, Number]) -> Money | None:
    """"two oh five", "eleven oh nine": a pair whose second number is below ten."""
    follower = by_first.get(number.last + 1)
    if follower is None or texts(tokens, number.last, number.last + 1) not in (("oh",), ("o",)):
        return None
    joined = not any(t.breaks for t in tokens[number.last : follower.last]) and not (number.ordinal or follower.ordinal)
    whole = number.value == int(number.value) and 1 <= number.value < 100 and follower.value in range(1, 10)
    if not joined or not whole or number.places or follower.fraction or _counts_something(tokens, follower.last):
        return None
    return Money(number.value + follower.value / 100, number.first, follower.last, shape="pair")


def _hyphened(tokens: Sequence[Token], number: Number, follower: Number) -> bool:
    """"three-forty": two spelt numbers that a hyphen joins."""
    return tokens[follower.first].gap == "-" and not number.digits and follower.value % 5 == 0


def _slang_alone(tokens: Sequence[Token], found: Sequence[Money], currencies: Currencies) -> list[Money]:
    """"a tenner", "a fiver": a money word after "a" that is worth other than one."""
    taken = {i for m in found for i in range(m.first, m.last)}
    out = []
    for i in range(1, len(tokens)):
        if tokens[i - 1].text == "a" and i not in taken and tokens[i].text in ("fiver", "tenner", "grand", "guinea"):
            codes, end = currencies.unit_at(tokens, i)
            if codes:
                out.append(Money(codes[0][1], i - 1, end, tuple(c for c, _ in codes)))
    return out


def _even(tokens: Sequence[Token], money: Money) -> Money:
    if texts(tokens, money.last, money.last + 1) == ("even",):
        return replace(money, last=money.last + 1)
    return money
