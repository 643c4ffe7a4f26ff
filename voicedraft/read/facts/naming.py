"""The cigar's name: each name said is weighed for being a part of it, beside what the rules put together.

A maker told in one sentence and a line in another come together; a name that is another cigar's gives way.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.cigar import of_another
from voicedraft.read.facts.claims import Claim, best
from voicedraft.read.facts.context import Session
from voicedraft.read.facts.pieced import pieced
from voicedraft.read.facts.seen import Seen
from voicedraft.read.numbers.tokens import tokenise_text
from voicedraft.read.sign_weights import SignWeights

NAME = "cigar"
SURE, SURE_BESIDE = 1.0, 3.0
"""Log-odds from which a name is the cigar's: where the rules found none, and beside what they found."""
DOUBT = -2.0
"""Log-odds below which the rules' own name gives way to a sure one."""
_MOST_WORDS = 7
_SMALL = frozenset({"the", "and", "of", "de", "la", "le", "el", "del", "y", "'s", "s", "et"})


def decide_name(session: Session, claims: list[Claim], seen: Sequence[Seen], weights: SignWeights) -> list[Claim]:
    """The claims with the name put together from the names that are weighed as parts of it."""
    ruled = best([c for c in claims if c.name == NAME])
    if ruled is not None and ruled.guessed:
        return claims
    told = [(one, weights.weigh(NAME, one.signs, one.vector)) for one in seen]
    own = words_of(ruled.value) if ruled is not None else frozenset()
    mine = [odds for one, odds in told if words_of(one.candidate.value) & own]
    least = SURE_BESIDE if own else SURE
    denied = frozenset(w for one in seen if "denied" in one.signs for w in words_of(one.candidate.value))
    barred = own | denied
    sure = [
        (one, odds) for one, odds in told
        if odds > least and not words_of(one.candidate.value) & barred and not session.guessing(one.candidate.line)
        and not of_another(one.candidate.line, one.candidate.first, one.candidate.last) and not one.candidate.line.asks
    ]
    if not sure:
        return claims
    kept = ruled if ruled is not None and (not mine or max(mine) > DOUBT) else None
    parts = _parts(sure, 1 if kept is not None else 2)
    value = " ".join([*([kept.value] if kept is not None else []), *(one.candidate.value for one, _ in parts)])
    if len(words_of(value)) > _MOST_WORDS:
        return claims
    return [*(c for c in claims if c is not ruled), pieced(NAME, kept, value, parts, weights)]


def _parts(sure: Sequence[tuple[Seen, float]], most: int) -> list[tuple[Seen, float]]:
    """The surest names that share no word, in order of speech."""
    out: list[tuple[Seen, float]] = []
    for one, odds in sorted(sure, key=lambda pair: -pair[1]):
        words = words_of(one.candidate.value)
        if len(out) < most and not any(words & words_of(other.candidate.value) for other, _ in out):
            out.append((one, odds))
    return sorted(out, key=lambda pair: (pair[0].candidate.line.index, pair[0].candidate.first))


def words_of(text: str) -> frozenset[str]:
    """The words of a name, small ones left out."""
    return frozenset(t.text for t in tokenise_text(text)) - _SMALL
