"""Rule: what is plainly refused, welcomed or only mentioned, whatever the model makes of it.

Refused: "no X", "not X, please"; "X, no", "X, never"; "X? No."; "skip the X"; after a refusal, "the same goes for X".
Mentioned: eaten at another meal ("I had toast for lunch"), "no recommendation", taken back ("tawny, no, make it").
Welcomed: a denial of something bad, "I'd not say no to X", "X is never wrong", "you could do worse than X".
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from voicedraft.read.pairings.refusal import AVOIDING, NEGATIONS, SMALL, denied
from voicedraft.read.pairings.tokens import Token

_LACKING = frozenset({"there", "had", "have", "has", "got", "'ve", "without"})
_ALSO = frozenset({"same", "nor", "neither", "likewise", "ditto"})
_SKIPPING = frozenset({"skip", "avoid", "ban", "shun", "forbid", "refuse", "ditch", "withdraw", "scratch"})
_CORRECTING = frozenset({"just", "make", "without", "only", "wait", "sorry", "rather", "hang"})
_DECLINING = frozenset({
    "refuse", "mind", "object", "complain", "decline", "push", "kick", "argue", "begrudge", "regret",
})
_BAD = frozenset({"wrong", "harm", "hurt", "insult", "amiss", "worse", "astray", "beat", "fault", "regret", "bad"})
_FAR = frozenset({"far", "away", "clear", "off"})
_GOING_ON = frozenset({"and", "or", "nor", "from", "of", "off"})
_SHORT = 6
_ANSWERING = frozenset({
    "i", "say", "said", "'d", "'ll", "way", "chance", "fear", "sorry", "my", "friend", "for", "me", "sir",
})
_MEALS = frozenset({"lunch", "dinner", "tea", "breakfast", "supper", "luncheon", "brunch"})
_TURNING = frozenset({"be", "taste", "turn", "go", "feel"})
_AT = frozenset({"for", "at", "to", "with"})
_ATE = frozenset({"have", "eat", "take", "'d", "drink"})
_REPEATING = frozenset({"do", "recommend", "counsel", "advise", "repeat", "suggest", "endorse", "advocate"})
_IT = frozenset({"it", "that", "this", "them", "those", "so"})
_OFF = frozenset({"home", "out", "alone", "behind", "off", "away", "well", "there"})
_FAULTS = frozenset({"mistake", "error", "no", "disaster", "waste", "crime"})
_SAYING_NOTHING = frozenset({
    "recommendation", "recommendations", "advice", "position", "opinion", "view", "suggestion", "verdict", "pairing",
    "matter", "say", "tell", "comment",
})
Plain = Literal["yes", "no", "none", ""]


def plainly(
    tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int, following: Sequence[str], refused_before: bool,
) -> Plain:
    """"yes", "no", "none" (mentioned) or, where the words leave it open, nothing.

    `refused_before`: whether the name before it in the sentence was.

    `following`: the words of the next sentence.
    """
    first, last = spans[k]
    start = spans[k - 1][1] if k else 0
    stop = spans[k + 1][0] if k + 1 < len(spans) else len(tokens)
    left = [t for t in tokens[start:first] if t.clause == tokens[first].clause]
    right = list(tokens[last:stop])
    if _says_nothing(right) or _says_nothing(left) or _supposed(left) or _another_meal(tokens, first, last):
        return "none"
    if _welcomed(left, right, tokens[last - 1].clause) or _settled(left, right):
        return "yes"
    lacking = any(t.lower in _LACKING for t in left)
    if denied(tokens, first) and not lacking:
        return "no"
    answer = _answered(tokens, last, following)
    if answer:
        return answer
    if refused_before and any(t.lower in _ALSO for t in [*tokens[start:first], *_own(right, tokens[last - 1].clause)]):
        return "no"
    between = {t.lower for t in tokens[start:first] if t.pos not in ("PUNCT", "DET")}
    carried = refused_before and between and between <= _GOING_ON
    if carried or _kept_away(left) or _put_off(_own(right, tokens[last - 1].clause)):
        return "no"
    if stop == len(tokens) and _recoiled(right):
        return "no"
    near = [i for i, t in enumerate(left) if t.lemma in _SKIPPING]
    return "no" if near and not any(t.lower in NEGATIONS for t in left[max(near[-1] - 3, 0) : near[-1]]) else ""


def _own(right: Sequence[Token], clause: int) -> list[Token]:
    return [t for t in right if t.clause == clause]


def _welcomed(left: Sequence[Token], right: Sequence[Token], clause: int) -> bool:
    """A denial of something bad before the name or in its own clause after it."""
    lemmas, words = [t.lemma for t in left], [t.lower for t in left]
    for i, word in enumerate(words):
        if word in NEGATIONS and (
            not _DECLINING.isdisjoint(lemmas[i + 1 : i + 4])
            or ("say", "no") in zip(words[i:], words[i + 1 :], strict=False)
        ):
            return True
    if "worse" in words and not {"could", "might", "can"}.isdisjoint(words):
        return True
    after = _own(right, clause)
    return any(
        t.lower in NEGATIONS | {"nothing", "nowt"} and any(o.lemma in _BAD for o in after[i + 1 : i + 4])
        for i, t in enumerate(after)
    )


def _settled(left: Sequence[Token], right: Sequence[Token]) -> bool:
    """"So digestives", "Keith says a stout, and he's right"."""
    before = [t.lower for t in left if t.pos != "PUNCT" and t.lower not in ("a", "an", "the", "some")]
    words = [t.lower for t in right]
    agreed = any(
        word in ("he", "she", "they") and "right" in words[i + 1 : i + 4] and NEGATIONS.isdisjoint(words[i + 1 : i + 4])
        for i, word in enumerate(words)
    )
    return before == ["so"] or agreed


def _supposed(left: Sequence[Token]) -> bool:
    """"If you do not take alcohol"."""
    words = [t.lower for t in left]
    return "if" in words and not NEGATIONS.isdisjoint(words[words.index("if") :])


def _kept_away(left: Sequence[Token]) -> bool:
    """"Keep it far from X", "I'd steer it well clear of X"."""
    for i, token in enumerate(left):
        if token.lemma in ("keep", "stay", "steer") and any(t.lower in _FAR for t in left[i + 1 :]):
            return not any(t.lower in NEGATIONS for t in left[max(i - 3, 0) : i])
    return False


def _put_off(after: Sequence[Token]) -> bool:
    """"X stays far away", "X I would keep for another evening", "X I'd leave out"."""
    for i, token in enumerate(after):
        words = [t.lower for t in after[i + 1 : i + 5]]
        if token.lemma in ("keep", "stay", "steer", "leave", "save", "rule") and (
            "another" in words or "out" in words or (not _FAR.isdisjoint(words))
        ):
            return not any(t.lower in NEGATIONS for t in after[max(i - 3, 0) : i])
    return False


def _recoiled(right: Sequence[Token]) -> bool:
    """"Don't do that", "I can't recommend it", "so skip that", "that was a mistake", "and I wouldn't" after a name."""
    for i, token in enumerate(right):
        ahead = right[i + 1 : i + 5]
        words = [t.lower for t in ahead]
        if token.lower in NEGATIONS:
            at = next((j for j, t in enumerate(ahead) if t.lemma in _REPEATING), None)
            if at is not None and not _IT.isdisjoint(words[at + 1 : at + 3]):
                return True
            if i and right[i - 1].lower in ("would", "do") and (not ahead or ahead[0].pos == "PUNCT"):
                return True
        if any(t.lower in NEGATIONS for t in right[max(i - 3, 0) : i]):
            continue
        if token.lower in _IT and words[:1] and ahead[0].lemma in _TURNING and _ill(right[i + 1 : i + 7]):
            return True
        if token.lemma in ("skip", "avoid") and words[:1] and words[0] in _IT:
            return True
        if token.lemma in ("leave", "keep") and words[:1] and words[0] in _IT and not _OFF.isdisjoint(words[1:3]):
            return True
        stated = token.lower in ("'s", "was", "is") and right[max(i - 1, 0)].lower in _IT
        if stated and not _FAULTS.isdisjoint(words[:3]):
            return True
    return False


def _ill(tokens: Sequence[Token]) -> bool:
    """Whether the words speak ill, and no denial is among them."""
    bad = any(t.lemma in AVOIDING or t.lower in AVOIDING for t in tokens)
    return bad and not any(t.lower in NEGATIONS for t in tokens)


def _says_nothing(right: Sequence[Token]) -> bool:
    """"That isn't a recommendation", "I have no position on it"."""
    for i, token in enumerate(right):
        ahead = [t.lower for t in right[i + 1 : i + 5] if t.clause == token.clause]
        if token.lower == "nobody" and "business" in ahead:
            return True
        if token.lower in NEGATIONS and not _SAYING_NOTHING.isdisjoint(ahead) and "no" not in ahead:
            return True
    return False


def _another_meal(tokens: Sequence[Token], first: int, last: int) -> bool:
    """"I had toast for lunch", "at lunch I ate feijoada", "after tea"; not where it was had with this cigar."""
    if tokens[first].lower in _MEALS:
        return [t.lower for t in tokens[max(first - 1, 0) : first]] in (["after"], ["before"])
    clause = [t for t in tokens if t.clause == tokens[first].clause]
    words = [t.lower for t in clause]
    meal = any(
        w in _MEALS and not _AT.isdisjoint(words[max(i - 2, 0) : i]) for i, w in enumerate(words)
    )
    words = [w for i, w in enumerate(words) if w != "with" or _MEALS.isdisjoint(words[i + 1 : i + 3])]
    had = any(t.lemma in _ATE and t.tag in ("VBD", "VBN") for t in clause)
    return meal and had and {"with", "beside", "alongside"}.isdisjoint(words)


def _answered(tokens: Sequence[Token], last: int, following: Sequence[str]) -> Plain:
    """What a clause of no's says of the name that ends at `last`: "ginger beer, no", "crisps, don't", "gin? No.";
    "tawny, no, make it a muscat" takes the name back."""
    own = tokens[last - 1].clause
    rest = [t for t in tokens[last:] if t.clause == own and t.pos != "PUNCT"]
    if any(t.lower not in SMALL | NEGATIONS for t in rest):
        return ""
    if any(t.lower in NEGATIONS for t in rest):
        return "no"
    after = [t for t in tokens[last:] if t.clause > own and t.pos != "PUNCT"]
    if not after:
        asked = tokens[-1].text == "?" and len(tokens) <= _SHORT
        return "no" if asked and following[:1] in (["no"], ["never"], ["nah"], ["nope"]) else ""
    answer = [t.lower for t in after if t.clause == after[0].clause]
    if not set(answer) <= NEGATIONS | SMALL | _ANSWERING or NEGATIONS.isdisjoint(answer):
        return ""
    turn = [t.lower for t in after[len(answer) : len(answer) + 2]]
    return "none" if turn[:1] and (turn[0] in _CORRECTING or turn == ["i", "mean"]) else "no"
