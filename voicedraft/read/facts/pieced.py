"""A fact put together from pieces that were weighed each by itself, as a claim."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voicedraft.read.facts.claims import CHOSEN, Claim
from voicedraft.read.facts.seen import Seen
from voicedraft.read.sign_weights import SignWeights
from voicedraft.types import Evidence


def pieced(
    role: str, ruled: Claim | None, value: object, pieces: Sequence[tuple[Seen, float]], weights: SignWeights
) -> Claim:
    """The claim of a fact with this value, with the signs of each piece as its evidence, after what the rules saw.

    ruled: the rules' own claim that it goes on from; without one it stands at the first piece.
    """
    reasons = tuple(
        Evidence(
            "model", "; ".join(sign for sign, _ in weights.reasons(role, one.signs)), round(odds, 2),
            *one.candidate.line.span(one.candidate.first, one.candidate.last),
        )
        for one, odds in pieces
    )
    if ruled is not None:
        base = Evidence("grammar", ruled.detail, 0.0, ruled.first, ruled.last)
        return replace(ruled, value=value, weight=CHOSEN, evidence=(base, *reasons))
    first = pieces[0][0].candidate
    return Claim(role, value, first.line.index, *first.line.span(first.first, first.last), role, CHOSEN,
                 evidence=reasons)
