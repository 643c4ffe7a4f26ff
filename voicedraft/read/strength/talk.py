"""How a step is said: concluded ("so call it medium"), supposed ("it'll be full"), denied after it, said by another."""

from __future__ import annotations

from itertools import pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.scale import Step

_CLOSERS = frozenset({
    "so", "call", "calling", "called", "say", "saying", "mean", "means", "meaning", "put", "putting", "write",
    "writing", "at", "place", "land", "english", "words", "word", "talk", "terms", "settle", "split", "hence",
})
_SMALL = frozenset({
    "it", "'s", "is", "that", "this", "we", "'re", "i", "'d", "'ll", "'m", "am", "are", "would", "be", "by",
    "which", "in", "plain", "usual", "the", "a", "an", "now", "still", "about", "let", "us", "me", "go",
    "going", "and", "for", "of", "on", "then", "yeah", "yes", "aye", "okay", "just", "only", "well", "real",
    "proper", "good", "solid", "properly", "what", "maybe", "perhaps", "suppose", "reckon", "guess", "think",
    "it's", "that's", "down", "as", "already", "again", "no", "more", "nothing", "oh", "um", "uh", "to", "make",
    "under", "strength", "up", "she", "he", "might", "could", "you", "currently", "here", "today", "but", "or",
    "first", "second", "third", "last", "final", "middle", "end", "point", "really", "truly", "definitely", "simply",
})
_POINTS = frozenset({"it", "that", "this", "she", "he", "they"})
_FUTURE = frozenset({"will", "'ll", "wo", "gonna", "may", "might"})
_WISHING = frozenset({
    "hope", "hoped", "hoping", "wish", "wished", "bet", "expect", "wait", "waiting", "wanted", "imagine",
})
_FORESEEN = frozenset({
    ("figured", "on"), ("counted", "on"), ("banked", "on"), ("braced", "for"), ("ready", "for"), ("was", "expecting"),
    ("had", "expected"), ("'d", "expected"), ("i'd", "expected"), ("i", "expected"),
})
"""Before a step these tell what was foreseen: "I'd figured on full from the looks of it"."""
_SAYERS = frozenset({
    "says", "reckons", "calls", "thinks", "swears", "claims", "insists", "said", "reckoned", "called",
    "thought", "rates",
})
_GROWING = frozenset({"climb", "get", "go", "reach", "rise", "grow", "hit"})
_SELVES = frozenset({"i", "we", "me", "you"})
_NOTS = frozenset({"n't", "not", "never", "won't", "wouldn't", "can't", "couldn't", "isn't", "ain't", "don't"})
_VERBS = frozenset({
    "say", "call", "go", "be", "is", "put", "have", "isn't", "ain't", "reach", "reached", "touch", "touched", "get",
    "got", "make", "made", "seen", "find", "found", "become", "arrived",
})
_REACH = 8


def concludes(line: Line, step: Step) -> bool:
    """Whether the step's clause says nothing but the step, with a turn that settles it: "so mild", "that's medium".

    In a sentence with flavours "it's medium" may be the flavour's, so only a turn that settles counts there.
    """
    first, last = line.clause(step.first)
    words = [line.tokens[i].text for i in range(first, last) if not step.first <= i < step.last]
    rest = set(words) - _SMALL - _CLOSERS
    if rest:
        return False
    if not line.words.flavours.any(line.tokens):
        return bool(words)
    return not _CLOSERS.isdisjoint(words)


def supposed(line: Line, step: Step) -> bool:
    """Whether the step is only awaited: "it'll be full by the end", "I'd hoped it would climb to full"."""
    first, _ = line.clause(step.first)
    words = [t.text for t in line.tokens[max(first, step.first - _REACH) : step.first]]
    if tuple(words[-2:]) in _FORESEEN:
        return True
    for i, word in enumerate(words):
        if word in _FUTURE and i and words[i - 1] in _POINTS and words[-1] not in ("it", "that"):
            return True
        if word in ("would", "'d", "could") and "it" in words[:i] and not _GROWING.isdisjoint(words[i:]):
            return True
    unreal = words[-2:] in (["would", "be"], ["'d", "be"]) and not _thought(line, step)
    if unreal and _SELVES.isdisjoint(words[:-2]) | ("for" in words):
        return True
    return not _WISHING.isdisjoint(words) and bool({"it", "for", "to"} & set(words))


_THINKERS = frozenset({"think", "suppose", "reckon", "say", "guess", "believe", "feel"})


def _thought(line: Line, step: Step) -> bool:
    """"The strength would be medium, I think": a polite "is", where no condition is told."""
    after = [t.text for t in line.tokens[step.last : step.last + 4]]
    return "i" in after and not _THINKERS.isdisjoint(after) and "if" not in line.vocabulary


_ASKERS = frozenset({"ask", "asks", "asked", "asking", "wonder", "wonders", "wondering", "wondered", "know"})


def asked(line: Line, step: Step) -> bool:
    """"He asks if it's not too strong for me": a question put in the sentence says no step."""
    first, _ = line.clause(step.first)
    words = [t.text for t in line.tokens[first : step.first]]
    return any(a in _ASKERS and b in ("if", "whether") for a, b in pairwise(words))


_TIMED = frozenset({
    "first", "then", "end", "start", "later", "now", "by", "until", "till", "begins", "began", "starts", "started",
    "ends", "ended", "last", "before", "after", "when", "towards", "becomes",
})


def refines(line: Line, before: Step, step: Step) -> bool:
    """"It's mild enough, for all its noise, mild to medium": a plain step said first, then the step beside it that is
    named by it, as an apposition with nothing of time between them."""
    words = [t.text for t in line.tokens[before.first : before.last]]
    later = [t.text for t in line.tokens[step.first : step.last]]
    between = {t.text for t in line.tokens[before.last : step.first]}
    parted = line.tokens[step.first].breaks and len(words) == 1 and len(later) > 1
    beside = before.low == before.high and step.low == step.high and abs(step.low - before.low) == 1
    return parted and beside and words[0] in (later[0], later[-1]) and between.isdisjoint(_TIMED - {"now"})


_CLAIMANTS = frozenset({
    "shop", "website", "site", "label", "box", "band", "leaflet", "maker", "makers", "man", "lad", "seller", "card",
    "internet", "forum", "review", "reviews", "tobacconist", "catalogue", "advert", "sticker", "magazine", "blurb",
    "brochure", "sheet", "rep", "house",
})
_CLAIMS = frozenset({
    "lists", "listed", "calls", "called", "says", "said", "has", "had", "puts", "put", "sells", "sold", "describes",
    "described", "rates", "rated", "gives", "gave", "promises", "promised", "marks", "marked", "billed", "bills",
    "reckons", "reckoned", "swears", "swore", "claims", "claimed", "prints", "printed",
})


def claimed_by(line: Line, step: Step) -> bool:
    """"The shop lists it as full": somebody who sells it is the subject of the step's clause, or "that's what it
    says on the box" follows."""
    first, _ = line.clause(step.first)
    words = [t.text for t in line.tokens[first : step.first]]
    for i, word in enumerate(words[:-1]):
        if word in _CLAIMANTS and not _CLAIMS.isdisjoint(words[i + 1 : i + 4]):
            return _SELVES.isdisjoint(words[i + 1 :])
    after = [t.text for t in line.tokens[step.last : step.last + _REACH]]
    return any(
        word in ("says", "said") and after[i + 1 : i + 3] == ["on", "the"] and after[i + 3] in _CLAIMANTS
        for i, word in enumerate(after[:-3])
    )


_HELD = frozenset({"my", "your", "his", "her", "our", "their", "both", "two"})
_ABOUT = frozenset({
    "strength", "power", "force", "nicotine", "kick", "punch", "smoke", "cigar", "stick", "third", "half", "puff",
    "potency", "first", "second", "last", "final", "mind", "book", "view", "opinion", "is", "money", "eyes", "palate",
    "mark", "scale", "usual", "word", "words", "verdict", "call", "estimate",
})


def of_a_thing(line: Line, step: Step) -> bool:
    """"I'd my hands full", "both pockets full": things are full."""
    at = step.first
    if line.tokens[at].text != "full" or at < 2 or line.tokens[at].breaks:
        return False
    return line.tokens[at - 2].text in _HELD and line.tokens[at - 1].text not in _ABOUT


_PARTS = frozenset({"draw", "draught", "resistance", "burn", "ash", "finish", "price", "pace", "wind", "volume"})
_STAYING = frozenset({"is", "was", "'s", "stayed", "stays", "ran", "runs", "remained", "remains", "were", "been"})


def of_a_part(line: Line, step: Step) -> bool:
    """"The draw was medium all the way": what is so is no strength."""
    at = step.first
    return at > 1 and line.tokens[at - 1].text in _STAYING and line.tokens[at - 2].text in _PARTS


def of_somebody(line: Line, step: Step) -> bool:
    """Whether a named person says it: "Jo reckons full"."""
    first, _ = line.clause(step.first)
    for i in range(first, step.first):
        if line.tokens[i].text in _SAYERS and i > 0 and step.first - i <= 4:
            who = line.tokens[i - 1]
            if who.text in _SELVES:
                return False
            return line.proper[i - 1] or who.text in ("he", "she", "they", "wife", "husband", "mate", "friend")
    return False


def refused(line: Line, step: Step) -> bool:
    """"Full I won't say", "mild, I wouldn't call it": the denial comes after."""
    after = [t.text for t in line.tokens[step.last : step.last + 5] if t.text != ","][:4]
    if after[:1] not in (["i"], ["we"], ["you"], ["nobody"], ["it"]):
        return False
    return bool(_NOTS & set(after)) and not _VERBS.isdisjoint(after) and not _bounds(line, step)


_BOUNDS = frozenset({"past", "beyond", "above", "over", "further", "farther", "higher", "more"})
_FAR = 10
"""Tokens of the clause after a step that may name another one; our own choice, no outside source."""


def _bounds(line: Line, step: Step) -> bool:
    """"Medium, I'd not go past that", "full, I wouldn't call it medium": what is refused is more, or another step."""
    at = step.last
    end = at + 1
    while end < len(line.tokens) and end < at + _FAR and not line.tokens[end].breaks:
        end += 1
    if not _BOUNDS.isdisjoint(t.text for t in line.tokens[at:end]):
        return True
    return any(s.core and s.high != step.high for s in line.words.scale.find(line.tokens[at:end]))
