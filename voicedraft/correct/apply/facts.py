"""Corrections of facts: set, cleared, or a guess made certain. Each fact has one shape of value."""

from __future__ import annotations

import math
from typing import Any

from pydantic import ValidationError

from voicedraft.correct.apply.rule import Deed, Prepared, at, dump, where, words_of
from voicedraft.correct.changes import FactClear, FactSet, printable
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.state import State
from voicedraft.draft.document import BoxPrice, FactEntry, Money
from voicedraft.draft.wording import FACT_NAMES

TEXTS = frozenset({"cigar", "vitola", "wrapper", "binder", "country"})
COUNTS = frozenset({"ring_gauge", "relights", "touch_ups"})
LONGEST = 200
MOST = 1_000_000.0
"""No length, price, humidity, rest or time of a cigar comes near this."""
_NONE = "XXX"
"""ISO 4217's code for no currency; never written."""


def checked(name: str, value: Any, read: bool = False) -> Any:
    """The value in the shape of its fact. Raises CorrectionError telling that shape.

    read: what the readers may give too, a price without a currency where nothing told one.
    """
    if name in TEXTS:
        return _text(name, value)
    if name == "filler":
        if not isinstance(value, (list, tuple)) or not value:
            raise _wrong(name, value, "a list of names")
        return [_text(name, v) for v in value]
    if name in ("price_single", "price_box"):
        return _price(name, value, read)
    number = _number(name, value)
    if name in COUNTS:
        if number != int(number):
            raise _wrong(name, value, "a whole number")
        return int(number)
    return int(number) if number == int(number) else number


def _wrong(name: str, value: Any, wanted: str) -> CorrectionError:
    return CorrectionError(f"{FACT_NAMES.get(name, name)} cannot be {ascii(value)[:60]}: give {wanted}.")


def _text(name: str, value: Any) -> str:
    if not isinstance(value, str) or not value.strip() or len(value) > LONGEST:
        raise _wrong(name, value, f"a name of up to {LONGEST} letters")
    try:
        return " ".join(printable(value).split())
    except ValueError as error:
        raise _wrong(name, value, "a name that can be printed") from error


def _number(name: str, value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 0 <= value <= MOST:
        raise _wrong(name, value, "a number, zero or more")
    return float(value)


def _price(name: str, value: Any, read: bool) -> dict[str, Any]:
    shape = Money if name == "price_single" else BoxPrice
    unnamed = read and isinstance(value, dict) and "currency" not in value
    try:
        price = shape.model_validate({**value, "currency": _NONE} if unnamed else value).model_dump(mode="json")
    except ValidationError as error:
        raise _wrong(name, value, "an amount and a currency (three letters, ISO 4217)") from error
    amounts = [price[k] for k in ("amount", "low", "high") if k in price]
    currency = str(price["currency"]).strip().upper()
    if not all(math.isfinite(a) and 0 <= a <= MOST for a in amounts) or not (len(currency) == 3 and currency.isalpha()):
        raise _wrong(name, value, "an amount and a currency (three letters, ISO 4217)")
    return {k: v for k, v in price.items() if k != "currency"} if unnamed else {**price, "currency": currency}


def prepare_set(state: State, change: FactSet) -> Prepared:
    """A fact. Raises CorrectionError where it has no words to lead back to."""
    entry = state.facts.get(change.name)
    if change.source is not None:
        span = words_of(state, change.source)
    elif entry is not None:
        span = state.span(entry)
    else:
        name = FACT_NAMES.get(change.name, change.name)
        raise CorrectionError(f"{name} needs the words it was said in. Choose the passage or words first.")
    new = {"value": checked(change.name, change.value), "guessed": change.guessed}
    return Prepared({"key": [change.name], "at": at(state, *span), "pointed": change.source is not None},
                    dump(entry, "value", "guessed") if entry else {}, new)


def prepare_clear(state: State, change: FactClear) -> Prepared:
    """A fact that was not said."""
    entry = state.facts.get(change.name)
    if entry is None:
        raise CorrectionError(f"{FACT_NAMES.get(change.name, change.name)} is blank in the draft already.")
    return Prepared({"key": [change.name], "at": at(state, *state.span(entry))}, dump(entry, "value", "guessed"))


def put(state: State, deed: Deed) -> None:
    """Sets the fact; sizes and prices of the rest of the line stay beside it."""
    (name,) = deed.target["key"]
    entry = state.facts.get(name)
    others = {"others": entry.others, "others_said": entry.others_said} if entry else {}
    state.facts[name] = FactEntry(**where(state, deed, entry), **deed.new, **others)
    state.settle("fact", name)


def remove(state: State, deed: Deed) -> None:
    """Leaves the fact blank."""
    state.facts.pop(deed.target["key"][0], None)
    state.take_out("fact", deed.target["key"][0])
