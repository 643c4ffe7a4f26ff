"""What refuses a pairing: a denied verb, a word of avoiding, a "no" alone, a "not" before it, a list that goes on.

A "no" before something else ("black tea, no milk") refuses nothing, nor does a denial that praises ("does it no harm").
The signs and the sentence's vector are weighed by a small linear model; these are its inputs.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.denial import NOPE, NOR, NOT, VERBS
from voicedraft.read.pairings.taken_away import takes_away
from voicedraft.read.pairings.tokens import Token

NEGATIONS = NOT | NOR | NOPE | VERBS
AVOIDING = frozenset({
    "avoid", "away", "skip", "kill", "fight", "clash", "ruin", "drown", "spoil", "mistake", "wrong", "bad", "badly",
    "forget", "shun", "awful", "terrible", "horrible", "disaster", "bury", "flatten", "flat", "struggle", "war",
    "worst", "enemy", "refuse", "ban", "swamp", "murder", "wreck", "metal", "metallic", "hate", "throat", "lick",
    "overpower", "smother", "regret", "crime", "sin", "mud", "poison", "quarrel", "argue", "strip", "spit", "waste",
    "struck", "strike", "worse", "wrestle", "destroy", "cough", "medicine", "penny", "nail", "battery", "shelf", "mile",
    "cancel", "warn", "beware", "sharpen", "swallow", "trample", "shout", "wipe", "mask", "hide", "dull", "sour",
    "tinny", "vinegar", "fail", "error", "disallow", "contraindicate", "forbid", "abstain", "deaden", "overwhelm",
    "gross", "soap", "nasty", "foul", "hopeless", "rubbish", "disagree", "ditch", "bully", "trounce", "choke", "smudge",
    "blunt", "hammer", "horrid", "dreadful", "unpleasant", "contraindicated", "disallowed", "banned", "barred",
    "undrinkable", "unbearable", "mercy", "bulldoze", "bulldozed", "overrule", "veto", "outlaw", "curdle", "decline",
    "dismiss", "discourage", "catastrophe", "strangle", "squash", "steamroll", "numb", "cloy", "cloying", "heresy",
})
_TOO = frozenset({
    "much", "many", "sweet", "sour", "strong", "heavy", "sharp", "cold", "hot", "loud", "thin", "bitter", "salty",
    "hoppy", "fizzy", "acid", "acidic", "light", "rich", "oily", "greasy", "spicy", "smoky", "far",
})
_ADVISING = frozenset({"advise", "warn", "vote", "rule", "decide", "counsel", "recommend"})
_IDLE = frozenset({"know", "judge", "laugh", "care", "ask", "blame", "worry", "forget", "get", "let"})
_KEEPING = frozenset({"keep", "stay", "steer", "leave", "put", "hold"})
_AWAY = frozenset({"away", "out", "clear", "off", "aside", "alone", "shelf", "cupboard", "another", "well"})
GOOD = frozenset({
    "good", "great", "perfect", "perfectly", "work", "lovely", "right", "proper", "ideal", "best", "partner", "mate",
    "match", "ticket", "friend", "fine", "better", "recommend", "suit", "nice", "well", "fit", "beautiful", "natural",
    "yes", "happy", "along", "again", "delicious", "wonderful", "terrific", "sing", "marry", "love", "like", "improve",
    "company", "go", "welcome", "treat",
})
_PLAIN_GOOD = frozenset({
    "good", "great", "perfect", "friend", "partner", "recommend", "suit", "match", "fit", "nice", "right", "work",
    "welcome", "happy",
})
_SPARING = frozenset({"without", "enough", "than", "more", "better", "finer"})
"""With these a denial of liking praises: "no better partner than rum", "can't recommend it enough"."""
_PRAISING = frozenset({
    ("no", "harm"), ("say", "no"), ("n't", "hurt"), ("not", "bad"), ("n't", "beat"), ("n't", "mind"),
    ("n't", "go", "wrong"),
    ("n't", "knock"), ("not", "say", "no"), ("no", "wrong"), ("n't", "say", "no"), ("not", "hurt"), ("not", "mind"),
})
_DENYING = frozenset({"no", "not", "never", "neither"})
_BETWEEN = frozenset({"a", "an", "the", "any", "that", "this", "with", "more", "your", "my"})
_CONTRAST = frozenset({"but", "whereas", "although", "though", "instead", "rather", "while", "otherwise", "only"})
_ADDING = frozenset({"and", "or", "nor", "also", "too", "same", "likewise", "either", "neither", "plus"})
SMALL = frozenset({
    "do", "would", "ever", "also", "please", "either", "way", "again", "thanks", "thank", "you", "sir", "ta", "and",
    "but", "at", "all", "thing",
})
SIGNS = 20
"""Length of the table that `signs` gives."""


def signs(
    tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int, low: int = 0, high: int | None = None,
) -> list[float]:
    """Signs for the name at `spans[k]`: in its clause before and after it, in the clauses up to the next name, on
    itself, in what the list before it got, and signs of liking in the same places. Each is 0 or 1.

    `[low, high)`: the tokens that speak of pairings, where a long sentence speaks of other things too.
    """
    first, last = spans[k]
    start = spans[k - 1][1] if k else 0
    stop = spans[k + 1][0] if k + 1 < len(spans) else len(tokens)
    own = tokens[first].clause
    end = len(tokens) if high is None else high
    named = {i for a, b in spans for i in range(a, b)}
    kinds = [_kind(tokens, i) if low <= i < end and i not in named else "" for i in range(len(tokens))]
    left, right = list(range(start, first)), list(range(last, stop))
    here_left = [i for i in left if tokens[i].clause == own]
    here_right = [i for i in right if tokens[i].clause == own]
    lead = tokens[stop].clause if stop < len(tokens) else len(tokens)
    next_right = [i for i in right if own < tokens[i].clause < max(lead, own + 1)]

    def any_of(places: Sequence[int], kind: str) -> float:
        return float(any(kinds[i] == kind for i in places))

    everything = list(range(len(tokens)))
    opening = list(range(spans[0][0]))
    own_no = [i for i in here_left if kinds[i] == "neg" and first - i <= 2]
    contrast = float(any(tokens[i].lower in _CONTRAST for i in left))
    adding = float(k > 0 and any(tokens[i].lower in _ADDING for i in [*left, *here_right]))
    earlier = range(start)
    refused_before = any(kinds[i] in ("verb", "avoid", "alone") for i in earlier)
    turned = contrast or any(kinds[i] == "good" for i in [*left, *here_right])
    carried = float(k > 0 and refused_before and not turned)
    return [
        any_of(here_left, "verb"), any_of(here_right, "verb"), any_of(next_right, "verb"),
        any_of(here_left, "avoid"), any_of(here_right, "avoid"), any_of(next_right, "avoid"),
        any_of(next_right, "alone"), any_of(here_right, "neg"), float(bool(own_no)),
        any_of(left, "good"), any_of(right, "good"),
        any_of(everything, "verb"), any_of(everything, "avoid"), any_of(everything, "good"), any_of(opening, "verb"),
        any_of(opening, "avoid"), contrast, adding, carried, float(k > 0),
    ]


def denied(tokens: Sequence[Token], first: int) -> bool:
    """Whether "no", "not" or "never" stands right before the name, an article between allowed."""
    i = first - 1
    while i >= 0 and tokens[i].clause == tokens[first].clause:
        if tokens[i].lower in _DENYING:
            return True
        if tokens[i].pos != "DET" and tokens[i].lower not in _BETWEEN:
            return False
        i -= 1
    return False


def _kind(tokens: Sequence[Token], i: int) -> str:
    """What token `i` signs: "verb" (a denied verb), "alone" (a clause of no's), "neg", "avoid", "good" or nothing."""
    token = tokens[i]
    if token.lower in NEGATIONS:
        if _praises(tokens, i):
            return "good"
        if token.lower == "no" and takes_away(tokens, i):
            return ""
        if (tokens[i + 1 : i + 2] and tokens[i + 1].lemma in _IDLE) or _supposed(tokens, i):
            return ""
        clause = [t for t in tokens if t.clause == token.clause and t.pos != "PUNCT"]
        if all(t.lower in NEGATIONS or t.lower in SMALL for t in clause):
            return "alone"
        head = tokens[token.head]
        verbal = head.pos in ("VERB", "AUX") and token.lower not in ("no", "nor")
        if head.dep == "relcl" or any(tokens[t.head].dep == "relcl" for t in (token, head)):
            return ""
        if verbal or token.lower in ("n't", "don't", "wouldn't", "cannot"):
            return "verb"
        return "neg"
    if (token.lemma in AVOIDING or token.lower in AVOIDING) and not eased(tokens, i):
        return "good" if _spared(tokens, i) else "avoid"
    if token.lower == "too" and any(t.lower in _TOO for t in tokens[i + 1 : i + 3]):
        return "" if _spared(tokens, i) else "avoid"
    if token.lower == "against" and any(t.lemma in _ADVISING for t in tokens[max(i - 3, 0) : i]):
        return "avoid"
    if token.lemma in _KEEPING and any(t.lower in _AWAY for t in tokens[i + 1 : i + 9]):
        return "avoid"
    if token.lemma == "turn" and any(t.lower == "down" for t in tokens[i + 1 : i + 4]):
        return "avoid"
    if token.lemma in GOOD:
        return "avoid" if _denied_good(tokens, i) else "good"
    return ""


def _denied_good(tokens: Sequence[Token], i: int) -> bool:
    """"No friend to it", "don't recommend", "not great": a word of liking right behind a denial that does not praise.
    """
    before = [j for j in range(max(i - 2, 0), i) if tokens[j].clause == tokens[i].clause]
    clause = {t.lower for t in tokens if t.clause == tokens[i].clause}
    if tokens[i].lemma not in _PLAIN_GOOD or not clause.isdisjoint(_SPARING) or _supposed(tokens, i):
        return False
    return any(tokens[j].lower in NEGATIONS and not _praises(tokens, j) for j in before) and not _praises(tokens, i)


def _supposed(tokens: Sequence[Token], i: int) -> bool:
    """"If you don't take it", "if you've no driving": a condition, not a refusal."""
    return any(t.lower == "if" and t.clause == tokens[i].clause for t in tokens[:i])


def refusing(tokens: Sequence[Token]) -> bool:
    """Whether anything in the sentence refuses."""
    return any(_kind(tokens, i) not in ("", "good") for i in range(len(tokens)))


def eased(tokens: Sequence[Token], i: int) -> bool:
    """"Just for the throat", "because of my throat": what a drink is good for."""
    before = [t.lower for t in tokens[max(i - 2, 0) : i]]
    return tokens[i].lower == "throat" and before[:1] in (["for"], ["of"])


def _spared(tokens: Sequence[Token], i: int) -> bool:
    """"Never wrong", "you could do worse", "it doesn't fight": a denial of something bad right before it."""
    before = [t for t in tokens[max(i - 3, 0) : i] if t.clause == tokens[i].clause]
    if tokens[i].lower == "worse":
        return any(t.lower in ("could", "might", "can") for t in before)
    return any(t.lower in NEGATIONS and t.lower not in ("nor", "neither") for t in before)


def _praises(tokens: Sequence[Token], i: int) -> bool:
    """"Would do it no harm", "I'd not say no to", "you can't beat"."""
    for j in range(max(i - 2, 0), i + 1):
        for size in (2, 3):
            if tuple(t.lower for t in tokens[j : j + size]) in _PRAISING and j + size > i:
                return True
    return False
