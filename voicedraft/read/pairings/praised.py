"""Rule: the name's own predicate welcomes it: "a cold pils would be smashing", "black tea, no milk, is all it needs".

Also what somebody chose: "I went with the crackers", "we settled on a stout"; and a name given as a doubtful answer to
what one would have: "to eat, I don't know, carnitas?".
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from voicedraft.read.pairings.refusal import AVOIDING, NEGATIONS
from voicedraft.read.pairings.taken_away import takes_away
from voicedraft.read.pairings.tokens import Token
from voicedraft.read.pairings.verdict import AFTER_PRAISE, HOW, PRAISE

_NEEDED = (
    r"(?:all|what|everything|just what) (?:that )?(?:it|this|you|i|we|one)(?: [a-z]+)? (?:needs?|wants?|asks? for)"
)
_SAID = re.compile(
    rf"(?:(?:is|was|were|are|'s)|(?:would|'d|will|'ll) be) {HOW}*(?:{PRAISE}(?={AFTER_PRAISE})|{_NEEDED}\b)"
)
_CHOICES = frozenset({
    ("go", "with"), ("settle", "on"), ("settle", "for"), ("opt", "for"), ("plump", "for"), ("land", "on"),
    ("stick", "with"), ("stick", "to"), ("decide", "on"),
})
_IF = frozenset({"if", "unless", "whether", "when", "because", "since", "that", "who", "until"})
_INSIDE = frozenset({"ADP", "DET", "ADJ", "NOUN", "PROPN", "PRON", "NUM", "PART", "ADV"})
_DOUBT = frozenset({
    "i", "do", "n't", "not", "know", "dunno", "maybe", "perhaps", "say", "let", "'s", "me", "see", "guess", "suppose",
    "think", "what", "um", "uh", "er", "hm", "well", "oh", "like",
})
_OPEN = frozenset({"know", "dunno", "maybe", "perhaps", "guess", "suppose", "see", "think"})
_OCCASIONS = frozenset({
    "lunch", "dinner", "supper", "breakfast", "brunch", "buffet", "wedding", "anniversary", "birthday", "barbecue",
    "restaurant", "doctor", "diet", "menu", "starter", "main", "pudding", "takeaway", "yesterday",
})
"""Said with a choice these tell of a meal and not of what goes with the cigar (common practice, no source)."""
_RUED = frozenset({"regret", "sorry", "pity", "shame", "nothing", "instead", "wish"})
_TURNING_OUT = 12
"""Tokens after a choice in which a word against it may come; our own choice."""


def praised(tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int) -> bool:
    """Whether the predicate that follows the name, or the names that "and" joins it to, is praise."""
    at = spans[k][1]
    while at < len(tokens) and tokens[at].text == "," and at + 1 < len(tokens) and takes_away(tokens, at + 1):
        at = next((i for i in range(at + 1, len(tokens)) if tokens[i].clause > tokens[at + 1].clause), len(tokens))
        at += at < len(tokens) and tokens[at].text == "," and not (
            at + 1 < len(tokens) and takes_away(tokens, at + 1)
        )
    if _SAID.match(" ".join(t.lower for t in tokens[at:])):
        return True
    return k + 1 < len(spans) and _joined(tokens, spans[k], spans[k + 1]) and praised(tokens, spans, k + 1)


def _joined(tokens: Sequence[Token], one: tuple[int, int], other: tuple[int, int]) -> bool:
    """"Skewers off the grill and a cold pils": no more than where it is from stands between a name and the "and"."""
    between = [t for t in tokens[one[1] : other[0]] if t.pos != "DET"]
    if not between or between[-1].lower != "and":
        return False
    inner = between[:-1]
    return not inner or (inner[0].pos == "ADP" and all(t.pos in _INSIDE for t in inner))


def chosen(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """"I went with the crackers", "we'd settle on a stout": what the speaker chose, unless he rues it."""
    first, last = span
    lead = tokens[max(first - 3, 0) : first]
    places = [i for i, t in enumerate(tokens[:first]) if t.clause == tokens[first].clause and t.pos == "VERB"]
    verb = places[-1] if places else None
    if verb is None or verb + 1 >= first or (tokens[verb].lemma, tokens[verb + 1].lower) not in _CHOICES:
        return False
    if any(t.pos not in ("DET", "ADJ", "PRON", "NUM") for t in tokens[verb + 2 : first]) or not lead:
        return False
    clause = [t for t in tokens[:verb] if t.clause == tokens[first].clause]
    mine = any(t.lower in ("i", "we") and t.dep in ("nsubj", "nsubjpass") and t.head == verb for t in clause)
    words = {t.lower for t in clause}
    if not mine or not words.isdisjoint(NEGATIONS | _IF):
        return False
    if any(t.lemma in _OCCASIONS for t in tokens):
        return False
    rest = tokens[last : last + _TURNING_OUT]
    return not any(t.lemma in AVOIDING | _RUED or t.lower in AVOIDING | _RUED for t in rest)


def doubtful_answer(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """"To eat, I don't know, carnitas?": a listed name alone behind a clause that only doubts."""
    first, last = span
    own = tokens[first].clause
    alone = all(t.pos in ("DET", "ADJ", "PUNCT") for t in tokens[:first] if t.clause == own) and all(
        t.pos == "PUNCT" for t in tokens[last:]
    )
    doubt = {t.lower for t in tokens if t.clause == own - 1 and t.pos != "PUNCT"}
    asked = {t.lower for t in tokens if t.clause < own - 1}
    if not alone or own < 2 or not tokens[last - 1].mark or not doubt <= _DOUBT or doubt.isdisjoint(_OPEN):
        return False
    if any(t.clause < own - 1 and t.dep == "nsubj" and t.pos in ("NOUN", "PROPN") for t in tokens[:first]):
        return False
    return NEGATIONS.isdisjoint(asked) and asked.isdisjoint({"he", "she", "they"}) and not any(
        t.lemma in AVOIDING for t in tokens[:first]
    )
