"""Rule: what is plainly refused, welcomed or only mentioned, whatever the model makes of it.

Refused: "no X", "not X, please"; "X, no", "X, never"; "X? No."; "skip the X"; after a refusal, "the same goes for X".
Mentioned: eaten at another meal ("I had toast for lunch"), "no recommendation", taken back ("tawny, no, make it").
Welcomed: a denial of something bad, "I'd not say no to X", "X is never wrong", "you could do worse than X".
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from voicedraft.read.pairings.cleft import cleft
from voicedraft.read.pairings.echoed import echoed
from voicedraft.read.pairings.elsewhere import elsewhere, others
from voicedraft.read.pairings.governed import governed, unneeded
from voicedraft.read.pairings.not_thought import not_thought
from voicedraft.read.pairings.nothing_but import nothing_but
from voicedraft.read.pairings.nothing_with import nothing_with
from voicedraft.read.pairings.praised import chosen, doubtful_answer, praised
from voicedraft.read.pairings.refusal import AVOIDING, NEGATIONS, denied, eased
from voicedraft.read.pairings.replied import affirmed, answered, asked, replied_no
from voicedraft.read.pairings.retracted import retracted
from voicedraft.read.pairings.saved import saved
from voicedraft.read.pairings.spoilt import never_spoilt
from voicedraft.read.pairings.tokens import Token
from voicedraft.read.pairings.verdict import rued, verdict

_LACKING = frozenset({"there", "had", "have", "has", "got", "'ve", "without"})
_ALSO = frozenset({"same", "nor", "neither", "likewise", "ditto"})
_SKIPPING = frozenset({"skip", "avoid", "ban", "shun", "forbid", "refuse", "ditch", "withdraw", "scratch"})
_DECLINING = frozenset({
    "refuse", "mind", "object", "complain", "decline", "push", "kick", "argue", "begrudge", "regret",
})
_BAD = frozenset({
    "wrong", "harm", "hurt", "insult", "amiss", "worse", "astray", "beat", "fault", "regret", "bad", "sorry", "punish",
    "punished", "cheat", "cheated", "rob", "robbed", "suffer", "disgrace", "disgraced", "shame", "ashamed", "deprived",
    "shortchanged",
})
_FAR = frozenset({"far", "away", "clear", "off"})
_GOING_ON = frozenset({"and", "or", "nor", "from", "of", "off", "any"})
_WITH_IT = frozenset({"with", "it", "this", "one", "anything"})
_MEALS = frozenset({"lunch", "dinner", "tea", "breakfast", "supper", "luncheon", "brunch"})
_TURNING = frozenset({"be", "taste", "turn", "go", "feel"})
_AT = frozenset({"for", "at", "to", "with"})
_ATE = frozenset({"have", "eat", "take", "'d", "drink"})
_TURNED = frozenset({"turn", "say", "go", "swap", "trade", "miss"})
"""Verbs whose denial may praise: "a brandy I wouldn't turn down"."""
_UNSURE = frozenset({"know", "try", "mind", "think", "expect", "tell", "remember"})
_MERELY = frozenset({"only", "just", "bad", "wrong", "better", "finer"})
_MATCHING = frozenset({
    "friend", "partner", "match", "mate", "right", "good", "great", "suitable", "fit", "recommend", "idea", "help",
    "company", "companion", "neighbour", "neighbor",
})
_SWITCHING = frozenset({"switch", "swap", "change", "move", "shift"})
_REASONS = frozenset({"because", "when", "since", "'cause", "cause"})
"""With these a change is told, not advised: "I switched to water when the bottle ran out"."""
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
    later: Sequence[Token] = (),
) -> Plain:
    """"yes", "no", "none" (mentioned) or, where the words leave it open, nothing.

    `refused_before`: whether the name before it in the sentence was. `following`: the words of the next sentence.
    `later`: those of the sentences that go on about it, up to the next name.
    """
    first, last = spans[k]
    start = spans[k - 1][1] if k else 0
    stop = next((a for a, b in spans[k + 1 :] if tokens[last - 1].lower not in _words(tokens, a, b)), len(tokens))
    left = [t for t in tokens[start:first] if t.clause == tokens[first].clause]
    right = list(tokens[last:stop])
    if _says_nothing(right) or _says_nothing(left) or _supposed(left) or _another_meal(tokens, first, last):
        return "none"
    shape = "none" if retracted(tokens, last, stop, later) else _by_shape(tokens, spans, k, refused_before)
    said = _verdict(tokens, spans, k, stop, later)
    if shape in ("none", "no") or said == "none":
        return "no" if shape == "no" else "none"
    if _welcomed(left, right, tokens[last - 1].clause) or _settled(left):
        return "yes"
    lacking = any(t.lower in _LACKING for t in left)
    if denied(tokens, first) and not lacking:
        return "no"
    answer = answered(tokens, last, following)
    if answer and not (answer == "yes" and said == "no"):
        return answer
    if stop == len(tokens) and ((_recoiled(right) and tokens[-1].text != "?") or _spoilt(later)):
        return "no"
    if elsewhere(tokens, spans[k], start, stop) or (not said and unneeded(tokens, first, last)):
        return "none"
    if said:
        return said
    if shape:
        return shape
    own = tokens[last - 1].clause
    if _left_to(left) or governed(tokens, spans, k) or _fronted(right, own) or _ill_matched(right, own):
        return "no"
    if others(tokens, last, start, stop) and verdict(tokens[last:], later, tokens[:first]) != "no":
        return "none"
    if affirmed(right, own) or _switched(left, right) or praised(tokens, spans, k) or chosen(tokens, spans[k]):
        return "yes"
    if doubtful_answer(tokens, spans[k]):
        return "no" if replied_no(following) else "yes"
    carried = refused_before and _carries(tokens[start:first], [*left, *_beside(right, own)])
    if carried or _kept_away(left) or _put_off(_own(right, own)):
        return "no"
    return _skipped(left, right) or asked(tokens, following)


def _by_shape(tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int, refused_before: bool) -> Plain:
    """What the shape of its clause says of the name: put behind "is", kept for later, "nothing with", "as would", in
    the place of one taken back."""
    instead = k > 0 and retracted(tokens, spans[k - 1][1], spans[k][0])
    if (instead and not denied(tokens, spans[k][0])) or never_spoilt(tokens, spans[k][0]):
        return "yes"
    shape: Plain = saved(tokens, spans, k) or nothing_with(tokens, spans[k]) or cleft(tokens, spans[k])
    shape = shape or nothing_but(tokens, spans[k]) or not_thought(tokens, spans[k])
    return shape or echoed(tokens, spans, k, refused_before)


def _carries(between: Sequence[Token], beside: Sequence[Token]) -> bool:
    """Whether a refusal goes on: "(no cola) or any of that lemonade", "the same goes for beer"."""
    words = {t.lower for t in between if t.pos not in ("PUNCT", "DET")}
    goes_on = not words.isdisjoint(_GOING_ON) and words <= _GOING_ON | _WITH_IT
    return goes_on or any(t.lower in _ALSO for t in beside)


def _skipped(left: Sequence[Token], right: Sequence[Token]) -> Plain:
    """"Skip the X"; not "skip the film with an X", nor "skip the X and you'd be sorry"."""
    near = [i for i, t in enumerate(left) if t.lemma in _SKIPPING]
    if not near or any(t.lower in NEGATIONS for t in left[max(near[-1] - 3, 0) : near[-1]]):
        return ""
    between = left[near[-1] + 1 :]
    if any(t.lower == "with" for t in between) and any(t.pos in ("NOUN", "PROPN") for t in between):
        return ""
    return "yes" if rued(right) else "no"


def _verdict(
    tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int, stop: int, later: Sequence[Token],
) -> Plain:
    """What the talk comes to of the name, or of the names that "and" or "or" join to it."""
    first, last = spans[k]
    for a, b in spans[k + 1 :]:
        if stop != a or any(t.lower not in ("and", "or") and t.pos != "DET" for t in tokens[last:a]):
            break
        last, stop = b, next((c for c, _ in spans if c >= b), len(tokens))
    if stop == len(tokens):
        return verdict(tokens[last:], later, tokens[:first])
    return verdict(tokens[last : stop + 1], (), tokens[:first])


def _words(tokens: Sequence[Token], first: int, last: int) -> set[str]:
    return {t.lower for t in tokens[first:last]}


def _own(right: Sequence[Token], clause: int) -> list[Token]:
    return [t for t in right if t.clause == clause]


def _beside(right: Sequence[Token], clause: int) -> list[Token]:
    """The rest of the name's clause, and what opens the next: "light beer, same again"."""
    own = _own(right, clause)
    return own or [t for t in right if t.clause == clause + 1 and t.pos != "PUNCT"][:3]


def _fronted(right: Sequence[Token], clause: int) -> bool:
    """"A light beer I wouldn't take", "cider we'd never have": the name is put first and its verb denied."""
    own = _own(right, clause)
    if not own or own[0].lower not in ("i", "we", "you") or own[0].dep not in ("nsubj", "nsubjpass"):
        return False
    verb = own[1:6]
    at = next((i for i, t in enumerate(verb) if t.lower in NEGATIONS), None)
    if at is None or verb[at].lower in ("neither", "nor"):
        return False
    if any(t.pos not in ("AUX", "PART", "ADV", "VERB") for t in verb[:at]):
        return False
    rest = own[at + 2 :]
    return bool(rest) and rest[0].pos in ("VERB", "ADV", "AUX") and not any(
        t.lemma in _DECLINING | _TURNED or t.lemma in _UNSURE for t in rest[:3]
    )


def _left_to(left: Sequence[Token]) -> bool:
    """"Fergal says blue cheese, and Fergal can have the blue cheese": left to somebody else."""
    words = [t.lower for t in left if t.pos not in ("PUNCT", "DET", "PRON")]
    whose = [t for t in left if t.dep == "nsubj"]
    return words[-2:-1] in (["can"], ["may"]) and words[-1] in ("keep", "have") and bool(whose) and (
        whose[-1].lower in ("he", "she", "they") or whose[-1].pos in ("PROPN", "NOUN")
    )


def _ill_matched(right: Sequence[Token], clause: int) -> bool:
    """"Vinegar's no friend to it", "sherry isn't right with it", "stout is not a good idea"."""
    own = _own(right, clause)
    if not own or own[0].lemma not in ("be", "'s"):
        return False
    if len(own) < 3 or own[1].lower not in NEGATIONS or any(t.lower in _MERELY for t in own[2:5]):
        return False
    return any(t.lemma in _MATCHING for t in own[2:5])


def _switched(left: Sequence[Token], right: Sequence[Token]) -> bool:
    """"I swapped over to a brown ale": what somebody changes to is wanted, unless the words after it speak ill."""
    words = [t.lower for t in left]
    changed = any(t.lemma in _SWITCHING and "to" in words[i + 1 : i + 4] for i, t in enumerate(left))
    return changed and not any(
        t.lower in NEGATIONS | _REASONS or t.lemma in AVOIDING or t.lower in ("worse", "back") for t in right
    )


def _welcomed(left: Sequence[Token], right: Sequence[Token], clause: int) -> bool:
    """A denial of something bad before the name or in its own clause after it."""
    lemmas, words = [t.lemma for t in left], [t.lower for t in left]
    for i, word in enumerate(words):
        swapped = any(t.lemma in ("swap", "trade", "exchange") for t in left[i + 1 : i + 3])
        if word in NEGATIONS and swapped and any(t.lower == "for" for t in right[:1]):
            return True
        if word in NEGATIONS and (not _DECLINING.isdisjoint(lemmas[i + 1 : i + 4]) or _not_declined(left, i)):
            return True
    if "worse" in words and not {"could", "might", "can"}.isdisjoint(words):
        return True
    if any(t.lower in NEGATIONS and _not_declined(right, i) for i, t in enumerate(right)):
        return True
    after = _own(right, clause)
    return any(
        t.lower in NEGATIONS | {"nothing", "nowt"} and any(o.lemma in _BAD for o in after[i + 1 : i + 4])
        for i, t in enumerate(after)
    )


def _not_declined(tokens: Sequence[Token], i: int) -> bool:
    """Whether the denial at `i` denies a no: "I'd not say no", "I wouldn't turn down"."""
    pairs = [(a.lemma, b.lower) for a, b in pairwise(tokens[i + 1 : i + 5])]
    return ("say", "no") in pairs or any(a == "turn" and b in ("down", "it", "that", "one") for a, b in pairs)


def _settled(left: Sequence[Token]) -> bool:
    """"So digestives"."""
    before = [t.lower for t in left if t.pos != "PUNCT" and t.lower not in ("a", "an", "the", "some")]
    return before == ["so"]


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
        turned = token.lower in _IT and words[:1] and ahead[0].lemma in _TURNING
        if turned and not _another(right[i + 2 : i + 6]) and _ill(right[i + 1 : i + 7]):
            return True
        if token.lemma in ("skip", "avoid") and words[:1] and words[0] in _IT:
            return True
        if token.lemma in ("leave", "keep") and words[:1] and words[0] in _IT and not _OFF.isdisjoint(words[1:3]):
            return True
        stated = token.lower in ("'s", "was", "is") and right[max(i - 1, 0)].lower in _IT
        if stated and not _FAULTS.isdisjoint(words[:3]):
            return True
    return False


def _another(said: Sequence[Token]) -> bool:
    """"(That's) lemon spoiled", "(that's) my evening ruined": something else that it was done to."""
    noun = next((i for i, t in enumerate(said) if t.pos in ("NOUN", "PROPN", "PUNCT")), None)
    return noun is not None and said[noun].pos != "PUNCT" and not AVOIDING.intersection(
        {said[noun].lemma, said[noun].lower}
    ) and any(t.tag in ("VBN", "VBD") for t in said[noun + 1 : noun + 2])


def _spoilt(later: Sequence[Token]) -> bool:
    """"Smothered it.", "It drowned it." in the sentence after the name's."""
    opening = later[:5]
    return not any(t.lower in NEGATIONS for t in opening) and any(
        a.pos == "VERB" and a.tag != "VBG" and (b.lower in _IT or (b.lower == "the" and a.tag == "VBD"))
        and not AVOIDING.isdisjoint((a.lemma, a.lower[:-1], a.lower[:-2])) for a, b in pairwise(opening)
    )


def _ill(tokens: Sequence[Token]) -> bool:
    """Whether the words speak ill, and no denial is among them."""
    bad = any((t.lemma in AVOIDING or t.lower in AVOIDING) and not eased(tokens, i) for i, t in enumerate(tokens))
    return bad and not any(t.lower in NEGATIONS for t in tokens)


def _says_nothing(right: Sequence[Token]) -> bool:
    """"That isn't a recommendation", "I have no position on it"."""
    for i, token in enumerate(right):
        ahead = [t.lower for t in right[i + 1 : i + 5] if t.clause == token.clause]
        if token.lower == "nobody" and "business" in ahead:
            return True
        if not {"price", "cost", "money"}.isdisjoint(t.lower for t in right[i + 1 : i + 8]):
            continue
        told = "tell" in ahead and i and right[i - 1].lemma == "do" and "you" not in ahead
        if token.lower in NEGATIONS and not _SAYING_NOTHING.isdisjoint(ahead) and "no" not in ahead and not told:
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
