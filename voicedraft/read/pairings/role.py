"""What a name is in the talk of pairings: wanted, refused, or only mentioned (another day, another smoker, a garnish).

A small linear model weighs signs around the name and the vectors of the name, its clause, and what follows it. These
are its inputs.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from voicedraft.read.denial import NOT, VERBS
from voicedraft.read.pairings.people import PEOPLE
from voicedraft.read.pairings.refusal import SIGNS, signs
from voicedraft.read.pairings.tokens import Floats, Row, Token

ROLES = ("none", "yes", "no")
_OCCASION = frozenset({
    "yesterday", "thursday", "monday", "tuesday", "wednesday", "friday", "saturday", "sunday", "earlier",
    "wedding", "funeral", "christening", "lunch", "breakfast", "supper", "pub", "bar", "boat", "club", "fair",
    "church", "party", "last", "other", "once", "before", "ago", "week", "year", "summer", "winter", "holiday",
    "holidays", "town", "restaurant", "café", "cafe", "festival", "day", "morning", "afternoon", "childhood",
    "kitchen", "fridge",
})
_DISCLAIMING = frozenset({
    "advice", "nothing", "position", "affair", "anyway", "attention", "difference", "neither", "else", "saying",
    "recommend", "counting", "mention", "pairing", "part", "business", "just", "only",
})
_TRYING = frozenset({
    "try", "tried", "had", "took", "take", "brought", "bring", "drank", "ate", "poured", "gave", "served",
})
_SWITCHING = frozenset({
    "switch", "switched", "swap", "swapped", "changed", "instead", "better", "rather", "then", "until",
})
_PROPOSING = frozenset({
    "say", "tell", "suggest", "propose", "swear", "insist", "recommend", "want", "reckon", "think", "offer", "advise",
    "vote", "ask", "go", "be",
})
_SAMPLING = frozenset({"tried", "sip", "sips", "swig", "mouthful", "took", "taste", "try", "pull", "gave"})
_SOFT = frozenset({
    "refuse", "insult", "harm", "object", "contradict", "regret", "mind", "offend", "hurt", "complain", "push",
    "say", "wrong", "beat", "bad", "amiss", "blame", "sorry",
})
_NOT = NOT | VERBS | {"nobody", "nothing", "nowt"}
_BAD_END = frozenset({
    "no", "not", "never", "nope", "nah", "don't", "skip", "avoid", "god", "life", "chance", "neither",
})
_REACH = 4
VECTOR_WEIGHT = 3.0
"""How far a vector counts beside a sign. Three-fold by session on 130 sessions, pairings that agree: 0.775 with 1.5,
0.788 with 3, 0.781 with 5."""
_MORE = 24


def role_inputs(
    row: Row, spans: Sequence[tuple[int, int]], k: int, low: int = 0, high: int | None = None,
    following: Sequence[str] = (),
) -> Floats:
    """Inputs of the name at `spans[k]`. `following`: the words of the next sentence, which may answer this one."""
    first, last = spans[k]
    tokens = row.tokens
    own = [i for i, t in enumerate(tokens) if t.clause == tokens[first].clause]
    stop = spans[k + 1][0] if k + 1 < len(spans) else len(tokens)
    right = list(range(last, stop)) or own
    told = [*signs(tokens, spans, k, low, high), *_more(row, spans, k, own, following)]
    vectors = [
        _mean(row.vectors, range(first, last)), _mean(row.vectors, own), _mean(row.vectors, right), row.whole,
    ]
    return np.concatenate([np.array(told, np.float32), *(VECTOR_WEIGHT * v for v in vectors)])


INPUTS = SIGNS + _MORE + 4 * 384
"""Length of `role_inputs`."""


def _mean(vectors: Floats, places: Sequence[int]) -> Floats:
    found = vectors[list(places)].mean(axis=0)
    return np.asarray(found / max(float(np.linalg.norm(found)), 1e-6), np.float32)


def _more(
    row: Row, spans: Sequence[tuple[int, int]], k: int, own: Sequence[int], following: Sequence[str],
) -> list[float]:
    """Signs of another day, another smoker, a garnish, a question, an answer, a refusal that praises."""
    tokens, (first, last) = row.tokens, spans[k]
    start = spans[k - 1][1] if k else 0
    stop = spans[k + 1][0] if k + 1 < len(spans) else len(tokens)
    before = [t.lower for t in tokens[start:first]]
    after = [t.lower for t in tokens[last:stop]]
    everything = {t.lower for t in tokens}
    clause = {tokens[i].lower for i in own}
    lead = before[-1:]
    named = any(t.pos == "PROPN" and t.dep in ("nsubj", "poss") for t in tokens[:first])
    short = len(following) <= _REACH + 1
    found = [
        not PEOPLE.isdisjoint(before), named, not _OCCASION.isdisjoint(clause), not _OCCASION.isdisjoint(everything),
        not _DISCLAIMING.isdisjoint(after), not _TRYING.isdisjoint(before), not _SWITCHING.isdisjoint(after),
        not _SWITCHING.isdisjoint(before), _softened([*before, *after]), lead in (["with"], ["on"], ["in"], ["of"]),
        lead in (["and"], ["or"]), tokens[-1].text == "?", short and not _BAD_END.isdisjoint(following),
        bool(_BAD_END.intersection(after[: _REACH + 2])), not _OCCASION.isdisjoint(after),
        {"this", "it"}.isdisjoint(everything), any(t.lower in ("would", "'d", "could") for t in tokens[:first]),
        bool(tokens[last - 1].mark), *_told(tokens, first, after),
    ]
    return [float(f) for f in found]


def _told(tokens: Sequence[Token], first: int, after: Sequence[str]) -> list[bool]:
    """Signs of a story: somebody proposes or has it, it is tried, likened to something, wished for, or praised."""
    clause = [t for t in tokens[:first] if t.clause == tokens[first].clause]
    subjects = [t for t in clause if t.dep == "nsubj"]
    other = bool(subjects) and (
        subjects[-1].pos == "PROPN" or subjects[-1].lower in PEOPLE or subjects[-1].lower == "who"
    )
    verb = tokens[subjects[-1].head].lemma if subjects else ""
    own = bool(subjects) and subjects[-1].lower in ("i", "you", "we")
    likened = any(a in ("was", "is", "'s", "be", "were") and b == "like" for a, b in pairwise(after))
    return [
        other and verb in _PROPOSING, other and verb not in _PROPOSING, not _SAMPLING.isdisjoint(after), likened,
        own and any(t.lower in ("would", "'d", "could") for t in clause), other and likened,
    ]


def _softened(words: Sequence[str]) -> bool:
    """"I'd not refuse", "would be no insult": a denial of something bad."""
    places = [i for i, w in enumerate(words) if w in _NOT]
    return any(not _SOFT.isdisjoint(words[i + 1 : i + _REACH]) for i in places)
