"""Prices of one and of a box: amounts of money in price talk, each judged by the words around it.

Wishes ("I'd go to seventeen"), savings, prices by the minute, old prices and prices of other cigars are left out.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, replace

from voicedraft.read.facts.boxcount import count_of, counted_tokens, for_many
from voicedraft.read.facts.claims import Claim, best
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.currency import own_currency, pick
from voicedraft.read.numbers import Money


@dataclass(frozen=True, slots=True)
class Priced:
    """An amount with its kind: single, box, other (of another cigar), void (wish, saving, old price)."""

    money: Money
    kind: str
    weight: int


def read_price(session: Session) -> list[Claim]:
    """Claims "price_single" {amount, currency} and "price_box" {low, high, count, currency}."""
    currency = own_currency(session)
    out: list[Claim] = []
    boxed = False
    for line in session.lines:
        counts = counted_tokens(line)
        amounts = _amounts(line, counts)
        known = {c.value[k] for c in out if c.name == "price_box" for k in ("low", "high")}
        priced = _judge(line, amounts, boxed, known, counts)
        out += _singles(line, priced, currency)
        out += _boxes(session, line, priced, currency)
        boxed = line.text.endswith("?") and line.has("price.box") and not any(p.kind == "box" for p in priced)
    return _sane(_agreeing(_repeated(out)))


AGREES = (0.7, 1.02)
"""A box costs about its count times one, or a little less (common practice, no source)."""


def _agreeing(claims: list[Claim]) -> list[Claim]:
    """A price of one that goes into the box as often as the box's count weighs more."""
    boxes = [c for c in claims if c.name == "price_box" and c.value.get("count")]
    if not boxes:
        return claims
    box = best(boxes)
    out = []
    for claim in claims:
        if box is not None and claim.name == "price_single" and not claim.other and claim.value["amount"]:
            share = box.value["high"] / (box.value["count"] * claim.value["amount"])
            claim = replace(claim, weight=claim.weight + 2 * (AGREES[0] <= share <= AGREES[1]))
        out.append(claim)
    return out


def _repeated(claims: list[Claim]) -> list[Claim]:
    """A price of one that is said again weighs more."""
    singles = [c.value["amount"] for c in claims if c.name == "price_single" and not c.other]
    return [
        replace(c, weight=c.weight + 2 * (singles.count(c.value["amount"]) > 1)) if c.name == "price_single" else c
        for c in claims
    ]


def _sane(claims: list[Claim]) -> list[Claim]:
    """Without boxes that cost less than twice one cigar."""
    single = best([c for c in claims if c.name == "price_single"])
    if single is None:
        return claims
    return [c for c in claims if c.name != "price_box" or c.value["high"] >= 2 * single.value["amount"]]


def _in_price_talk(line: Line) -> bool:
    return line.section == "value"


def _amounts(line: Line, counts: Sequence[int]) -> list[Money]:
    """Amounts that may be a price. Bare numbers count only in the talk of prices, and never as a box's count."""
    out = []
    for money in line.quantities.moneys:
        counted = any(money.first <= i < money.last for i in counts)
        if money.minor or counted or line.has("price.weighed", money.last, money.last + 1):
            continue
        if not money.codes and not (_in_price_talk(line) and _bare_price(line, money)):
            continue
        if money.codes and not _in_price_talk(line) and not (
            line.section in ("background", "aside", "verdict", "appearance") and line.has("price.cue")
        ):
            continue
        out.append(money)
    return out


_COUNTED = frozenset({
    "minutes", "sizes", "times", "percent", "per", "%", "by", "inside", "months", "weeks", "pints", "gins",
    "bottles", "out",
})


def _bare_price(line: Line, money: Money) -> bool:
    before = line.tokens[money.first - 1].text if money.first else ""
    if money.shape == "decimal" and before in ("a", "an"):  # "It got a 5.5 from me": a mark.
        return False
    if money.shape in ("pair", "decimal"):
        return True
    if any(d.first <= money.first < d.last for d in line.quantities.durations):
        return False
    after = line.tokens[money.last].text if money.last < len(line.tokens) and not line.tokens[money.last].breaks else ""
    if after in _COUNTED:
        return False
    if money.shape == "whole" and money.amount < 5:
        return False
    return before not in ("take", "number", "hundredth") and (money.shape != "fraction" or money.amount > 1)


def _judge(
    line: Line, amounts: Sequence[Money], boxed: bool, known: Set[float], counts: Sequence[int]
) -> list[Priced]:
    out: list[Priced] = []
    carry = "box" if boxed else "single"
    start = 0
    for k, money in enumerate(amounts):
        end = amounts[k + 1].first if k + 1 < len(amounts) else len(line.tokens)
        kind, weight = _kind(line, money, start, end, carry, bool(out), counts)
        if kind == "single" and money.amount in known:
            kind = "box"
        if kind in ("single", "box"):
            carry = kind
        elif line.replaced(money.last, end) and line.has("price.box", start, money.first):
            carry = "box"
        if out and kind == "box" and _spans(line, out[-1], money):
            out[-1] = replace(out[-1], kind="box")
        out.append(Priced(money, kind, weight))
        start = money.last
    return _settle(line, out)


def _spans(line: Line, low: Priced, high: Money) -> bool:
    """"Between four hundred and four twenty a box": both ends of a range are of what its end names."""
    between = [t.text for t in line.tokens[low.money.last : high.first]]
    opened = [t.text for t in line.tokens[max(0, low.money.first - 1) : low.money.first]]
    return low.kind == "single" and (opened, between) in ((["between"], ["and"]), (["from"], ["to"]))


def _kind(
    line: Line, money: Money, start: int, end: int, carry: str, later: bool, counts: Sequence[int]
) -> tuple[str, int]:
    """(kind, weight) of an amount between the amounts before and after it."""
    weight = 2 * bool(money.codes) + (money.shape == "pair")
    box_right = _right_away(line, "price.box", money.last, end) or any(
        n.first == money.last + 1 and for_many(line, n) for n in line.quantities.numbers
    )
    box_left = line.find("price.box", start, money.first)
    single_right = _right_away(line, "price.single", money.last, end)
    single_left = line.find("price.single", start, money.first)
    if _void(line, money, start, end):
        return "void", weight
    if line.other[money.first] or _other_right(line, money, end) or _of_people(line, money):
        return "other", weight
    counted = [i for i in counts if start <= i < money.first]
    last_box = max(box_left[-1].first if box_left else -1, counted[-1] if counted else -1)
    last_single = single_left[-1].first if single_left else -1
    if box_right:
        return "box", weight + 2
    if single_right:
        derived = later and carry == "box"
        return ("void", weight) if derived else ("single", weight + 2)
    if last_box > last_single or (carry == "box" and last_single < 0):
        return "box", weight + 1
    if carry == "box" and line.has("price.derived", start, money.first):
        return "void", weight
    return "single", weight + (last_single >= 0)


def _right_away(line: Line, path: str, first: int, end: int) -> bool:
    """A phrase of `path` stands within four tokens after the amount, before a comma cuts it off from what follows."""
    for hit in line.find(path, first, min(end, first + 5)):
        between = line.tokens[first : hit.first + 1]
        if not any(t.breaks for t in between) and not any(t.text in ("and", "or", "but") for t in between):
            return True
    return False


def _other_right(line: Line, money: Money, end: int) -> bool:
    """"nine pounds fifty for the Sluice Gate": another cigar is named right after the amount."""
    last = min(end, money.last + 4, len(line.tokens))
    return any(line.other[money.last : last]) and not any(t.breaks for t in line.tokens[money.last : last])


def _of_people(line: Line, money: Money) -> bool:
    """"My da smokes them at fourteen": told of what others pay, from the start of the sentence or the clause."""
    first, _ = line.clause(money.first)
    for start in (0, first):
        people = line.find("price.people", start, min(start + 4, money.first))
        if people and not line.has("this_cigar", people[0].last, money.first):
            return True
    return False


def _void(line: Line, money: Money, start: int, end: int) -> bool:
    """A wish, a difference, or a price that no longer holds."""
    a, b = line.clause(money.first)
    a, b = max(a, start), min(b, end)
    if line.has("price.opinion", max(a, money.first - 8), b) or (a > start and _lead(line, "price.opinion", a, start)):
        return True
    if a > start and line.has("price.void", *line.clause(a - 1)) and a - line.clause(a - 1)[0] <= 3:
        return True
    if line.has("price.opinion", b, min(end, b + 3)) and line.clause(b)[1] - b <= 2 if b < end else False:
        return True
    if line.has("price.difference", max(start, money.first - 5), b) or line.has("price.void", a, b):
        return True
    return _said_of_it(line, b, end)


def _said_of_it(line: Line, first: int, end: int) -> bool:
    """A clause after the amount voids it: "that was last year", "which was before the rise"."""
    i = first
    while i < end:
        b = min(line.clause(i)[1], end)
        pointing = any(t.text in ("that", "which") for t in line.tokens[i : min(b, i + 4)])
        if pointing and line.has("price.void", i, b):
            return True
        i = max(b, i + 1)
    return False


def _lead(line: Line, path: str, a: int, start: int) -> bool:
    """The clause before ends in a phrase of `path`: "worth it, at eleven ninety"."""
    before, _ = line.clause(a - 1)
    return line.has(path, max(before, start), a) and a - before <= 6


def _settle(line: Line, priced: Sequence[Priced]) -> list[Priced]:
    """Of two amounts of a kind the later stands after a correction; the former becomes void and lends its weight."""
    out: list[Priced] = []
    for item in priced:
        before = next((k for k in range(len(out) - 1, -1, -1) if out[k].kind == item.kind), None)
        if before is not None and _rounds(line, out[before].money, item.money):
            item = replace(item, kind="void")
        elif item.kind == "single" and before is not None and (
            line.corrected(out[before].money.last, item.money.first) or _again(line, out[before].money, item.money)
        ):
            weight = max(item.weight, out[before].weight)
            codes = item.money.codes or out[before].money.codes
            out[before] = replace(out[before], kind="void")
            item = Priced(replace(item.money, codes=codes), item.kind, weight)
        out.append(item)
    return out


def _rounds(line: Line, a: Money, b: Money) -> bool:
    """"$9.95, so ten bucks": a round figure after the precise one tells nothing new."""
    precise = a.amount != int(a.amount) and b.amount == int(b.amount)
    return precise and abs(a.amount - b.amount) <= 0.06 * a.amount and line.has("price.rounded", a.last, b.first)


def _again(line: Line, a: Money, b: Money) -> bool:
    """"fourteen, fourteen pounds twenty": the amount said again, in full."""
    near = abs(a.amount - b.amount) <= 1 and line.has("price.rather", a.last, b.first)
    return b.first - a.last <= 3 and (int(a.amount) == int(b.amount) or near)


def _singles(line: Line, priced: Sequence[Priced], currency: str) -> list[Claim]:
    out: list[Claim] = []
    for item in priced:
        if item.kind not in ("single", "other"):
            continue
        code = pick(item.money.codes, currency)
        foreign = bool(currency) and code != currency
        settled = line.has("price.settled", item.money.last, min(item.money.last + 5, len(line.tokens))) or line.has(
            "price.regular", max(0, item.money.first - 4), item.money.first
        )
        first, last = line.span(item.money.first, item.money.last)
        out.append(Claim(
            "price_single", with_currency({"amount": item.money.amount_in(code)}, code), line.index, first, last,
            "amount of money for one", weight=item.weight + 2 * settled + 2 * (line.section == "value") - 6 * foreign,
            other=item.kind == "other",
        ))
    return out


def _boxes(session: Session, line: Line, priced: Sequence[Priced], currency: str) -> list[Claim]:
    told = [p for p in priced if p.kind == "box"]
    if not told:
        return []
    most = max(_hundreds(p.money) for p in told)
    boxes = _untaxed(line, [p for p in told if 3 * _hundreds(p.money) >= most])
    group = _range(line, boxes)
    low, high = group[0].money, group[-1].money
    code = pick(high.codes or low.codes, currency)
    amounts = sorted(_in_hundreds(m, code) for m in (low, high))
    value: dict[str, object] = {"low": amounts[0], "high": amounts[1]}
    count = count_of(session, line)
    if count:
        value["count"] = count
    value = with_currency(value, code)
    first, last = line.span(low.first, high.last)
    return [Claim("price_box", value, line.index, first, last, "amount of money for a box",
                  weight=max(p.weight for p in group) + 2 * bool(count))]


def with_currency(value: dict[str, object], code: str) -> dict[str, object]:
    """The value with its currency; without one where nothing tells whose money it is."""
    return {**value, "currency": code} if code else value


def _in_hundreds(money: Money, code: str) -> float:
    """"two fifty" for a box is 250."""
    return _hundreds(money) if money.shape == "pair" and money.amount < 10 else money.amount_in(code)


def _hundreds(money: Money) -> float:
    """The amount as a box's: "two fifty" is 250."""
    return round(money.amount * 100) if money.shape == "pair" and money.amount < 10 else money.amount


def _range(line: Line, boxes: Sequence[Priced]) -> Sequence[Priced]:
    """The last one or two amounts: two are a range ("from 155 to 165") unless the later corrects the former."""
    if len(boxes) >= 2:
        a, b = boxes[-2].money, boxes[-1].money
        if not line.corrected(a.last, b.first) and _hundreds(a) < _hundreds(b) <= 1.6 * _hundreds(a):
            return boxes[-2:]
    return boxes[-1:]


def _untaxed(line: Line, boxes: Sequence[Priced]) -> Sequence[Priced]:
    """An amount with tax beside one without: the one that the speaker says again, or says is the price, stands."""
    taxed = [
        p for p in boxes
        if line.has("price.with_tax", max(0, p.money.first - 12), min(p.money.last + 4, len(line.tokens)))
    ]
    plain = [p for p in boxes if p not in taxed]
    return plain if plain and taxed else boxes


