"""Asking for the parts of a value, each line filled with what is there now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from voicedraft.correct.apply.facts import COUNTS, TEXTS
from voicedraft.correct.errors import CorrectionError
from voicedraft.draft import wording
from voicedraft.draft.document import DescriptorEntry, FactEntry, PairingEntry, Quoted, ScoreEntry, StrengthEntry
from voicedraft.types import DESCRIPTOR_STAGES, INTENSITIES, STATUSES

Ask = Callable[[str, str], str]
"""Question and what stands there already → answer."""

STATUS_WORDS: dict[str, str] = {s: wording.STATUS_NAMES.get(s, "there") for s in STATUSES}
THIRDS = ("first", "second", "final")
KINDS = ("drink", "food", "avoid")


def one_of(answer: str, names: Sequence[str], shown: Mapping[str, str] | None = None) -> str:
    """The name that an answer means: itself, as it is shown, or a beginning that only one name has.

    Raises CorrectionError listing the names.
    """
    wanted = answer.strip().lower()
    known = {n: {n.lower(), (shown or {}).get(n, n).lower()} for n in names}
    exact = [n for n, forms in known.items() if wanted in forms]
    near = [n for n, forms in known.items() if wanted and any(f.startswith(wanted) for f in forms)]
    found = exact or near
    if len(found) != 1:
        raise CorrectionError(f"“{answer}” is not one of: {', '.join((shown or {}).get(n, n) for n in names)}.")
    return found[0]


def number(answer: str) -> float:
    """A number as typed. Raises CorrectionError."""
    try:
        return float(answer.replace(",", "."))
    except ValueError:
        raise CorrectionError(f"“{answer}” is not a number.") from None


def flavour(ask: Ask, entry: Quoted | None, words: str, stage: str) -> dict[str, Any]:
    """Term, stage, status and intensity."""
    d = entry if isinstance(entry, DescriptorEntry) else None
    term = ask("Flavour", d.term if d else words)
    chosen = one_of(ask("Stage", wording.STAGE_NAMES[d.stage if d else stage]), DESCRIPTOR_STAGES, wording.STAGE_NAMES)
    status = one_of(ask("It is", STATUS_WORDS[d.status] if d else "there"), STATUSES, STATUS_WORDS)
    intensity = None
    if status == "present":
        now = wording.INTENSITY_NAMES[d.intensity if d and d.intensity else "medium"]
        intensity = one_of(ask("How much", now), INTENSITIES, wording.INTENSITY_NAMES)
    return {"term": term, "stage": chosen, "status": status, "intensity": intensity}


def strength(ask: Ask, entry: Quoted | None) -> dict[str, Any]:
    """Low and high."""
    s = entry if isinstance(entry, StrengthEntry) else None
    names = {str(n): text for n, text in wording.STRENGTH_NAMES.items()}
    low = one_of(ask("From", names[str(s.low if s else 3)]), list(names), names)
    high = one_of(ask("Up to", names[str(s.high)] if s else names[low]), list(names), names)
    return {"low": int(low), "high": int(high)}


def third(ask: Ask, stage: str) -> str:
    """Which third."""
    return one_of(ask("Third", wording.STAGE_NAMES[stage if stage in THIRDS else "first"]), THIRDS, wording.STAGE_NAMES)


def fact(ask: Ask, name: str, entry: Quoted | None, words: str) -> dict[str, Any]:
    """The value in its fact's shape, and whether it is only a guess."""
    f = entry if isinstance(entry, FactEntry) else None
    value = f.value if f else None
    made: Any
    if name in ("price_single", "price_box"):
        made = _price(ask, name, value if isinstance(value, Mapping) else {})
    elif name == "filler":
        leaves = ask("Leaves, with commas between", ", ".join(value or [words])).split(",")
        made = [x.strip() for x in leaves if x.strip()]
    elif name in TEXTS:
        made = ask(wording.FACT_NAMES[name], str(value if value is not None else words))
    else:
        made = number(ask(wording.FACT_NAMES[name], "" if value is None else wording.number(float(value))))
        made = int(made) if name in COUNTS and made == int(made) else made
    guessed = one_of(ask("Only a guess of the speaker", "yes" if f and f.guessed else "no"), ("yes", "no")) == "yes"
    return {"value": made, "guessed": guessed}


def _price(ask: Ask, name: str, value: Mapping[str, Any]) -> dict[str, Any]:
    def told(key: str) -> str:
        return "" if value.get(key) is None else wording.number(float(value[key]))

    currency = str(value.get("currency") or "")
    if name == "price_single":
        return {"amount": number(ask("Amount", told("amount"))), "currency": ask("Currency, three letters", currency)}
    low = number(ask("From", told("low")))
    high = number(ask("Up to", told("high") or wording.number(low)))
    count = ask("Cigars in the box, if said", told("count"))
    return {"low": low, "high": high, "count": int(number(count)) if count.strip() else None,
            "currency": ask("Currency, three letters", currency)}


def score(ask: Ask, entry: Quoted | None) -> dict[str, Any]:
    """Aspect, value and scale."""
    s = entry if isinstance(entry, ScoreEntry) else None
    return {"aspect": ask("Aspect", s.aspect if s else "overall"),
            "value": number(ask("Score", wording.number(s.value) if s else "")),
            "out_of": number(ask("Out of", wording.number(s.out_of) if s else "10"))}


def pairing(ask: Ask, entry: Quoted | None, kind: str, words: str) -> dict[str, Any]:
    """Kind and name."""
    names = {"drink": "to drink", "food": "to eat", "avoid": "to leave aside"}
    chosen = one_of(ask("For", names[kind]), KINDS, names)
    return {"kind": chosen, "value": ask("What", entry.value if isinstance(entry, PairingEntry) else words)}
