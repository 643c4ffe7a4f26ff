"""Facts: what was said of the cigar and of the session, each with its words.

`RULES` is the list of what is read, in order; each rule is one file and gives claims, and the claims of a fact are
settled to one value. Nothing is stated that was not said; guesses are marked and never stated.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.facts.believed import read_believed
from voicedraft.read.facts.claims import Claim, best
from voicedraft.read.facts.context import Session, session
from voicedraft.read.facts.counted import read_counts
from voicedraft.read.facts.country import read_country
from voicedraft.read.facts.hedges import hedged
from voicedraft.read.facts.humidity import read_humidity
from voicedraft.read.facts.leaf import read_leaf
from voicedraft.read.facts.model import shipped
from voicedraft.read.facts.named import named
from voicedraft.read.facts.price import read_price
from voicedraft.read.facts.rest import read_rest
from voicedraft.read.facts.roles import decide
from voicedraft.read.facts.size import read_size
from voicedraft.read.facts.smoking import read_smoking
from voicedraft.read.facts.takebacks import put_right
from voicedraft.read.facts.withheld import printed
from voicedraft.read.sign_weights import SignWeights
from voicedraft.types import Evidence, Fact, OtherValue, Passage

RULES: tuple[tuple[str, Callable[[Session], list[Claim]]], ...] = (
    ("leaf", read_leaf),
    ("country", read_country),
    ("size", read_size),
    ("size believed", read_believed),
    ("humidity", read_humidity),
    ("rest", read_rest),
    ("price", read_price),
    ("smoking time", read_smoking),
)
"""The rules that run once the cigar's own name and size are known, in order; touch-ups and relights come after them."""

ORDER = (
    "cigar", "vitola", "length_mm", "ring_gauge", "wrapper", "binder", "filler", "country", "price_single", "price_box",
    "storage_rh_pct", "rest_days", "smoking_minutes", "relights", "touch_ups",
)


def read_facts(
    analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon, weights: SignWeights | None = None
) -> dict[str, Fact]:
    """Every fact that was said, by name. A fact not said is not in the dict; a guess has `guessed` set.

    weights: the learned weights, or None for the shipped ones. Raises ModelError where those are missing.
    """
    told, claims = named(session(analysis, passages, lexicon))
    for _, rule in RULES:
        claims += rule(told)
    weights = weights or shipped()
    claims += read_counts(told, weights)
    claims = [put_right(told, hedged(told, claim)) for claim in claims]
    claims = printed(told, [hedged(told, claim) for claim in decide(told, claims, weights)])
    return _facts(analysis, told, claims)


def _facts(analysis: Analysis, told: Session, claims: Sequence[Claim]) -> dict[str, Fact]:
    out: dict[str, Fact] = {}
    for name in ORDER:
        mine = [c for c in claims if c.name == name]
        chosen = best(mine)
        if chosen is not None:
            out[name] = _fact(analysis, told, chosen, _others(analysis, told, chosen, mine))
    return out


def _others(analysis: Analysis, told: Session, chosen: Claim, claims: Sequence[Claim]) -> tuple[OtherValue, ...]:
    """Other values said for the same fact, once each, in order of speech, with their words."""
    out: list[OtherValue] = []
    for claim in sorted(claims, key=lambda c: (c.line, c.first)):
        if claim.value != chosen.value and not claim.guessed and all(claim.value != o.value for o in out):
            out.append(OtherValue(
                claim.value, told.lines[claim.line].passage, claim.first, claim.last,
                analysis.transcript.text(claim.first, claim.last),
            ))
    return tuple(out)


def _fact(analysis: Analysis, told: Session, claim: Claim, others: tuple[OtherValue, ...]) -> Fact:
    evidence = claim.evidence or (Evidence("grammar", claim.detail, 0.0, claim.first, claim.last),)
    return Fact(
        name=claim.name, value=claim.value, passage=told.lines[claim.line].passage, first=claim.first, last=claim.last,
        said=analysis.transcript.text(claim.first, claim.last), guessed=claim.guessed,
        others=tuple(o.value for o in others), others_said=others, evidence=evidence,
    )
