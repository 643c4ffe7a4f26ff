"""The words that a draft is printed with: names of sections, stages, facts and steps, and the caution."""

from __future__ import annotations

from collections.abc import Mapping

CAUTION = (
    "Tobacco smoke harms health, and alcohol can too: nothing here is health advice. For adults of the legal age where "
    "they live; local law comes first. Smoke in fresh air, and never leave a lit cigar, match or ash unwatched."
)

SECTION_NAMES: Mapping[str, str] = {
    "background": "Background", "appearance": "Appearance", "prelight": "Before lighting",
    "first_third": "First third", "second_third": "Second third", "final_third": "Final third",
    "burn": "Draw and burn", "palate": "The smoke as a whole", "value": "Price and worth", "verdict": "Verdict",
    "pairings": "Pairings", "aside": "Left out (asides)",
}
STAGE_NAMES: Mapping[str, str] = {
    "wrapper": "Wrapper", "foot": "Foot", "cold_draw": "Cold draw", "first": "First third", "second": "Second third",
    "final": "Final third", "room": "In the room", "prelight": "Before lighting", "after": "Afterwards",
}
FACT_NAMES: Mapping[str, str] = {
    "cigar": "Cigar", "vitola": "Vitola", "length_mm": "Length", "ring_gauge": "Ring gauge", "wrapper": "Wrapper",
    "binder": "Binder", "filler": "Filler", "country": "Made in", "price_single": "Price of one",
    "price_box": "Price of a box", "storage_rh_pct": "Kept at", "rest_days": "Rested",
    "smoking_minutes": "Smoking time", "relights": "Relights", "touch_ups": "Touch-ups",
}
STRENGTH_NAMES: Mapping[int, str] = {1: "mild", 2: "mild-medium", 3: "medium", 4: "medium-full", 5: "full"}
INTENSITY_NAMES: Mapping[str, str] = {
    "hint": "a hint", "light": "light", "medium": "clear", "strong": "strong", "dominant": "leading",
}
STATUS_NAMES: Mapping[str, str] = {"fading": "fading", "gone": "gone", "absent": "not there"}
EVOLUTION_NAMES: Mapping[str, str] = {
    "new": "new", "steady": "steady", "rising": "rising", "fading": "fading", "gone": "gone", "returned": "returned",
}


def clock(seconds: float) -> str:
    """Session seconds as H:MM:SS, or M:SS below an hour."""
    whole = int(seconds)
    hours, minutes, rest = whole // 3600, whole // 60 % 60, whole % 60
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def number(value: float) -> str:
    """A number without a needless fraction: 9.0 is 9, 9.50 is 9.5."""
    return f"{value:.2f}".rstrip("0").rstrip(".")


def money(amount: float, currency: str) -> str:
    """An amount with its ISO 4217 code: two decimals where there are any."""
    return f"{amount:.2f} {currency}" if amount % 1 else f"{amount:.0f} {currency}"


def length(millimetres: float) -> str:
    """A length in both units; 1 inch is 25.4 mm exactly (international inch, 1959)."""
    return f"{number(round(millimetres, 1))} mm ({number(millimetres / 25.4)} in)"


def fact_text(name: str, value: object) -> str:
    """One fact's value as printed. Unknown shapes are printed as they are."""
    if isinstance(value, (list, tuple)):
        return ", ".join(str(v) for v in value)
    if isinstance(value, Mapping):
        return _price_text(value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return _number_text(name, float(value))
    return str(value)


def _price_text(value: Mapping[str, object]) -> str:
    currency = str(value.get("currency") or "")
    if "amount" in value:
        return money(float(str(value["amount"])), currency).strip()
    low, high = float(str(value["low"])), float(str(value["high"]))
    price = money(low, currency) if low == high else f"{number(low)} to {money(high, currency)}"
    count = value.get("count")
    return f"{price.strip()} for {count}" if count else price.strip()


def _number_text(name: str, value: float) -> str:
    if name == "length_mm":
        return length(value)
    unit = {"storage_rh_pct": " % humidity", "rest_days": " days", "smoking_minutes": " minutes"}.get(name, "")
    if name == "rest_days" and value == 1:
        unit = " day"
    return number(value) + unit


def strength_text(low: int, high: int) -> str:
    """A strength range in words."""
    return STRENGTH_NAMES[low] if low == high else f"{STRENGTH_NAMES[low]} to {STRENGTH_NAMES[high]}"
