"""Numbers as they are spoken, and round trips: a number rendered in words is read back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.facts_cases import table
from voicedraft.lexicon import load_lexicon
from voicedraft.read.numbers import Currencies, Quantities, read_quantities
from voicedraft.read.numbers.tokens import tokenise_text

CURRENCIES = Currencies(load_lexicon().table("trade"))

_ONES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen",
    "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_EIGHTHS = {1: "an eighth", 2: "a quarter", 3: "three eighths", 4: "a half", 5: "five eighths", 6: "three quarters",
            7: "seven eighths"}


def words(n: int, joint: str = "-") -> str:
    """A whole number below ten thousand in English words."""
    if n < 20:
        return _ONES[n]
    if n < 100:
        return _TENS[n // 10 - 2] + (joint + _ONES[n % 10] if n % 10 else "")
    if n < 1000:
        return f"{_ONES[n // 100]} hundred" + (f" and {words(n % 100, joint)}" if n % 100 else "")
    rest = n % 1000
    link = " and " if 0 < rest < 100 else " "
    return f"{words(n // 1000, joint)} thousand" + (link + words(rest, joint) if rest else "")


def _read(text: str) -> Quantities:
    return read_quantities(tokenise_text(text), CURRENCIES)


def _shown(kind: str, text: str) -> str:
    q = _read(text)
    if kind == "number":
        return f"{q.numbers[0].value:g}"
    if kind == "mm":
        return f"{q.lengths[0].mm:.7g}"
    if kind == "size":
        return f"{q.sizes[0].mm:g} x {q.sizes[0].ring}"
    if kind == "minutes":
        return f"{q.durations[0].minutes:g}"
    if kind == "days":
        return f"{q.durations[0].days:g}"
    return f"{q.moneys[0].amount:g} {''.join(q.moneys[0].codes[:1])}".strip()


@pytest.mark.parametrize(("kind", "said", "expected"), [r for r in table("numbers/phrases") if r[0] != "none"])
def test_a_phrase_is_read_as_its_quantity(kind: str, said: str, expected: str) -> None:
    """Each phrase of the table gives the number, length, size, time or amount beside it."""
    assert _shown(kind, said) == expected


def test_a_time_by_the_clock_is_no_span() -> None:
    """"Ten minutes to nine" lasts no ten minutes."""
    assert _read("ten minutes to nine").durations == ()


def test_positions_lead_back_to_the_text() -> None:
    """A number's tokens cover exactly the characters that say it."""
    text = "So, it's six and seven-eighths, by forty-seven."
    q = _read(text)
    first = q.numbers[0]
    assert text[q.tokens[first.first].start : q.tokens[first.last - 1].end] == "six and seven-eighths"


@given(st.integers(0, 9999), st.sampled_from(["-", " "]))
def test_whole_numbers_round_trip(n: int, joint: str) -> None:
    """A whole number in words is read back, hyphened or not."""
    numbers = _read(f"about {words(n, joint)} of them").numbers
    assert [x.value for x in numbers] == [n]


@given(st.integers(3, 9), st.integers(1, 7), st.booleans())
def test_mixed_numbers_round_trip(whole: int, eighths: int, hyphen: bool) -> None:
    """"Five and three eighths" is read back exactly."""
    part = _EIGHTHS[eighths].replace(" ", "-") if hyphen and eighths not in (1, 2, 4) else _EIGHTHS[eighths]
    numbers = _read(f"it's {words(whole)} and {part} long").numbers
    assert [x.value for x in numbers] == [whole + eighths / 8]


@given(st.integers(4, 9), st.integers(0, 7), st.integers(20, 80))
def test_sizes_round_trip(inches: int, eighths: int, ring: int) -> None:
    """Length by ring in words gives millimetres of 25.4 to the inch (international inch, 1959) and the ring."""
    said = words(inches) + (f" and {_EIGHTHS[eighths]}" if eighths else "")
    sizes = _read(f"{said} by {words(ring)}").sizes
    assert [(s.mm, s.ring) for s in sizes] == [((inches + eighths / 8) * 25.4, ring)]


_MONEY = st.sampled_from([("pounds", "GBP"), ("euros", "EUR"), ("dollars", "USD")])


@given(st.integers(5, 400), st.integers(10, 99), _MONEY)
def test_money_round_trips(units: int, minor: int, currency: tuple[str, str]) -> None:
    """"Nine pounds fifty" is 9.50, and its currency is found."""
    money = _read(f"they're {words(units)} {currency[0]} {words(minor)} each").moneys[0]
    assert round(money.amount * 100) == units * 100 + minor
    assert currency[1] in money.codes


@given(st.integers(1, 3), st.integers(1, 59))
def test_durations_round_trip(hours: int, minutes: int) -> None:
    """Hours and minutes in words are read back as minutes."""
    unit = "hour" if hours == 1 else "hours"
    spans = _read(f"so {words(hours)} {unit} and {words(minutes)} minutes in all").durations
    assert [d.minutes for d in spans] == [hours * 60 + minutes]


@pytest.mark.parametrize("text", [
    "7" * 400, "7" * 400 + " by 52", "9/" + "7" * 5000, "7" * 5000 + "/9", "7" * 400 + "th", "1" + ",000" * 200,
    "9 " + "hundred " * 200,
])
def test_a_number_too_long_to_mean_anything_is_read_without_an_error(text: str) -> None:
    """Digits without end, in a recording's noise or a pasted text, give no number above what anybody tells."""
    assert all(n.value <= 1e15 for n in _read(text).numbers)


@given(st.text(max_size=60))
def test_any_text_is_read_without_an_error(text: str) -> None:
    """Whatever is said, the grammar answers, and its ranges lie within the tokens."""
    q = _read(text)
    spans = [(x.first, x.last) for x in q.numbers] + [(x.first, x.last) for x in q.lengths]
    spans += [(x.first, x.last) for x in q.sizes] + [(x.first, x.last) for x in q.durations]
    spans += [(x.first, x.last) for x in q.moneys]
    assert all(0 <= first < last <= len(q.tokens) for first, last in spans)
