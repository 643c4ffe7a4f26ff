"""Which number is which fact: the learned weights and the rules decide together.

The rules' own choice counts as so many log-odds; they were mended on the gold sessions and would otherwise outweigh
what was learned. Values that several rules made, such as a box's range, are kept where both agree on the amount.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from voicedraft.read.facts.candidates import Candidate
from voicedraft.read.facts.claims import CHOSEN, HEAVY, Claim, best
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.currency import own_currency, pick
from voicedraft.read.facts.fillers import decide_filler
from voicedraft.read.facts.made_else import told_of_else
from voicedraft.read.facts.naming import decide_name
from voicedraft.read.facts.not_leaf import no_leaf, tells_of_people
from voicedraft.read.facts.part_words import named_for_another, of_a_part, only_of_leaf, told_of_making
from voicedraft.read.facts.price import with_currency
from voicedraft.read.facts.seen import Seen, seen_of
from voicedraft.read.facts.small_words import MODALS
from voicedraft.read.facts.together import Weighed, best_of
from voicedraft.read.numbers.tokens import fold
from voicedraft.read.sign_weights import SignWeights
from voicedraft.types import Evidence

_CERTAIN = 6.0
"""Log-odds that a claim counts that corrects what was said before (`takebacks`)."""


@dataclass(frozen=True, slots=True)
class Role:
    """A fact, the kind of number that it is, and the log-odds that the rules' own choice counts (chosen
    leave-one-speaker-out on sessions that the rules were not mended on)."""

    name: str
    kind: str
    trust: float


ROLES = (
    Role("price_single", "money", 0.75), Role("price_box", "money", 0.75), Role("box_count", "count", 0.75),
    Role("length_mm", "length", 0.5), Role("ring_gauge", "ring", 0.25), Role("storage_rh_pct", "humidity", 0.375),
    Role("rest_days", "rest", 0.5), Role("smoking_minutes", "smoking", 0.125), Role("vitola", "vitola", 0.5),
    Role("country", "country", 0.75), Role("wrapper", "leaf", 0.75), Role("binder", "leaf", 0.75),
)
SURE, SURE_LEAF = 0.5, 1.5
"""Log-odds from which a value that the rules do not share is stated, for numbers and names, and for leaf and country.
"""
DOUBT = -2.0
"""Log-odds at or below which the rules' own value is not stated either."""
RIGHT = 2.0
"""Log-odds more for the rules' choice where it puts another right in the same sentence, or was measured."""


def decide(session: Session, claims: Sequence[Claim], weights: SignWeights) -> list[Claim]:
    """The claims, and for each role the chosen candidate as the claim that stands; where none is likely, none does."""
    seen = seen_of(session)
    told = {
        role.name: weighed(role, seen.get(role.kind, ()), _ruled(claims, role.name), weights) for role in ROLES
    }
    chosen = best_of(told)
    out = list(claims)
    for role in ROLES:
        if role.name in _FACT:
            continue
        ruled, found = _ruled(claims, role.name), chosen[role.name]
        if found is not None and _goes_on_of_another(claims, role.name, found.candidate):
            found = None
        shared = found is not None and ruled is not None and agrees(role.name, found.candidate, ruled.value)
        if found is not None and (shared or not _supposed(found.candidate, role.name)) and found.odds > (
            0.0 if shared else SURE_LEAF if role.kind in ("leaf", "country") else SURE
        ):
            out = _put(session, out, role, found, chosen, weights)
        elif ruled is not None and not ruled.guessed:
            own = [w.odds for w in told[role.name] if agrees(role.name, w.candidate, ruled.value)]
            if own and max(own) <= DOUBT:
                out = [c for c in out if c.name != role.name]
    out = decide_filler(session, out, seen.get("leaf", ()), weights)
    return decide_name(session, out, seen.get("name", ()), weights)


def _goes_on_of_another(claims: Sequence[Claim], role: str, candidate: Candidate) -> bool:
    """Whether the words tell more of another part's leaf: "The binder is Nicaraguan. It's corojo from Jalapa."."""
    if candidate.kind not in ("leaf", "country"):
        return False
    first, last = candidate.line.span(candidate.first, candidate.last)
    return any(c.name != role and c.over_two and c.first <= first and last <= c.last for c in claims)


def _supposed(candidate: Candidate, role: str) -> bool:
    """Whether the value is asked for or only supposed, the leaf is told of another part, or the place is where it was
    bought, or where a leaf comes from that would be the factory's, or the other way round: what was learned alone
    never states it."""
    line = candidate.line
    texts = [t.text for t in line.tokens]
    supposed = bool(_WISHES & set(texts)) and ("if" in texts or "unless" in texts)
    if candidate.kind == "leaf" and (
        told_of_making(line, candidate.first) or no_leaf(line, candidate.first, candidate.last)
        or named_for_another(line, role)
    ):
        return True
    if candidate.kind == "country" and (only_of_leaf(line) or of_a_part(line, candidate.first)):
        return True
    if candidate.kind == "country" and (tells_of_people(line) or told_of_else(line)):
        return True
    bought = candidate.kind == "country" and line.has("country.sold", 0, candidate.first)
    return line.asks or supposed or bought or _would_have(line, candidate.first)


def _would_have(line: Line, first: int) -> bool:
    """"I should have swapped it for a sixty-five": what was not done, in the clause before token `first`."""
    begin, _ = line.clause(first)
    words = [t.text for t in line.tokens[begin:first]]
    return any(word in _WOULD and _HAVE & set(words[i + 1 : i + 3]) for i, word in enumerate(words))


_WOULD = frozenset({"should", "would", "could", "might"})
_HAVE = frozenset({"have", "'ve"})
_WISHES = MODALS | {"were"}


def _ruled(claims: Sequence[Claim], role: str) -> Claim | None:
    return best([c for c in claims if c.name == _FACT.get(role, role)])


_FACT = {"box_count": "price_box"}
"""Roles that are a part of another fact."""


def weighed(
    role: Role, seen: Sequence[Seen], ruled: Claim | None, weights: SignWeights
) -> list[Weighed]:
    """Each candidate's odds of the role; what was told before the value that stands in its place has none."""
    out = []
    since = ruled.line if ruled is not None and ruled.instead else 0
    for one in seen:
        if one.candidate.line.index < since:
            continue
        candidate, told = one.candidate, one.signs
        odds = weights.weigh(role.name, told, one.vector)
        if ruled is not None and not ruled.guessed and agrees(role.name, candidate, ruled.value):
            measured = role.kind in ("ring", "length") and "ls size.measured" in told
            put_right = measured or "corrects surely" in told
            right = RIGHT * (ruled.line == candidate.line.index and put_right)
            odds += _CERTAIN if ruled.weight >= HEAVY else role.trust + right
        out.append(Weighed(candidate, odds, told))
    return out


def agrees(role: str, candidate: Candidate, value: object) -> bool:
    """Whether a fact's value is this candidate's."""
    wanted: list[object] = [value]
    if isinstance(value, Mapping):
        wanted = {
            "price_single": [value.get("amount")], "price_box": [value.get("low"), value.get("high")],
            "box_count": [value.get("count")],
        }.get(role, [])
    if isinstance(candidate.value, str):
        return isinstance(value, str) and _key(candidate.value) <= _key(value)
    own = (candidate.value, *candidate.amounts, *((100 * candidate.value,) if role == "price_box" else ()))
    return any(isinstance(w, int | float) and abs(w - v) < _SAME for w in wanted for v in own)


def _key(text: str) -> set[str]:
    return set(fold(text).replace(",", " ").split())


_SAME = 0.006


def _put(
    session: Session, claims: list[Claim], role: Role, found: Weighed, chosen: Mapping[str, Weighed | None],
    weights: SignWeights,
) -> list[Claim]:
    """The claims with the chosen one before all others of its fact. Where the rules read the same, theirs is kept."""
    base = best([c for c in claims if c.name == role.name and agrees(role.name, found.candidate, c.value)])
    candidate, line = found.candidate, found.candidate.line
    first, last = line.span(candidate.first, candidate.last)
    value: Any = _VALUES.get(role.name, _plain)(session, candidate)
    guessed = isinstance(candidate.value, str) and (session.guessing(line) or line.has("leaf.guess"))
    if base is not None:
        value, first, last, line, guessed = base.value, base.first, base.last, session.lines[base.line], base.guessed
    if role.name == "price_box":
        value = _counted(value, chosen["box_count"], base)
    reasons = "; ".join(sign for sign, _ in weights.reasons(role.name, found.signs))
    evidence: tuple[Evidence, ...] = (Evidence("model", reasons, round(found.odds, 2), first, last),)
    if base is not None:
        evidence = (Evidence("grammar", base.detail, 0.0, first, last), *evidence)
    claim = Claim(role.name, value, line.index, first, last, role.name, CHOSEN, guessed, evidence=evidence)
    return [*(c for c in claims if c is not base), claim]


def _counted(value: Any, count: Weighed | None, base: Claim | None) -> dict[str, Any]:
    """A box's price with the count that was chosen, else with the rules' own."""
    plain = {k: v for k, v in value.items() if k not in ("count", "currency")}
    if count is not None and count.odds > 0:
        plain["count"] = int(count.candidate.value)
    elif base is not None and "count" in base.value:
        plain["count"] = base.value["count"]
    return with_currency(plain, value.get("currency", ""))


def _plain(session: Session, candidate: Candidate) -> object:
    return int(candidate.value) if candidate.kind == "ring" else candidate.value


def _single(session: Session, candidate: Candidate) -> object:
    code = pick(candidate.codes, own_currency(session))
    return with_currency({"amount": candidate.amount_in(code)}, code)


def _box(session: Session, candidate: Candidate) -> object:
    code = pick(candidate.codes, own_currency(session))
    amount = candidate.amount_in(code)
    if candidate.shape == "pair" and amount < 10:
        amount = round(100 * amount)
    return with_currency({"low": amount, "high": amount}, code)


_VALUES: Mapping[str, Callable[[Session, Candidate], object]] = {"price_single": _single, "price_box": _box}
"""How a candidate becomes the fact's value; plainly where no role is named."""
