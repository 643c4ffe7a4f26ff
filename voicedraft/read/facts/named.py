"""First the cigar's own size and name: with them, the words of other cigars are known to every rule after."""

from __future__ import annotations

from voicedraft.read.facts.cigar import read_cigar
from voicedraft.read.facts.claims import Claim, best
from voicedraft.read.facts.context import Session
from voicedraft.read.facts.subject import mark
from voicedraft.read.facts.vitola import read_vitola
from voicedraft.read.numbers.tokens import tokenise_text


def named(session: Session) -> tuple[Session, list[Claim]]:
    """The session with the words of other cigars marked, and the claims "vitola" and "cigar"."""
    start = mark(session, None)
    claims = read_vitola(start)
    vitola = best(claims)
    names = read_cigar(start)
    own = [t.text for t in tokenise_text(names[0].value)] if names else []
    return mark(start, _lexicon_name(start, vitola), own), [*claims, *names]


def _lexicon_name(start: Session, vitola: Claim | None) -> str | None:
    if vitola is None:
        return None
    hits = start.words.vitolas.find(tokenise_text(vitola.value))
    return hits[0].value.name if hits else None
