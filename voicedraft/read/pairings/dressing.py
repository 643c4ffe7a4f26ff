"""Rule: tagged words that name no pairing: what dresses the one before, what is tasted in it, people, other cigars."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise
from typing import Literal

from voicedraft.read.pairings.phrase import MEASURES
from voicedraft.read.pairings.refusal import AVOIDING
from voicedraft.read.pairings.taken_away import GARNISH, POURED
from voicedraft.read.pairings.things import a_thing
from voicedraft.read.pairings.tokens import Names, Token

NAMING_HEAD = 0.02
"""The same of an unlisted noun behind a listed one: "cider country", "coffee cup"."""
NAMING, NAMING_ALONE = 0.1, 0.5
"""Chance by its vector under which an unlisted word names no drink or food; the second for a lone proper noun, which
may be a person's name. Chosen on other speakers."""
_EMPTY = MEASURES | {
    "kind", "one", "ones", "sort", "thing", "things", "something", "anything", "nothing", "everything", "type", "way",
    "none", "match", "supper", "dinner", "lunch", "food", "drink", "course", "dessert", "company", "ice", "sugar",
    "sugars", "salt", "side", "drinks", "foods", "snack", "snacks", "wise", "pairing", "pairings", "sun", "lot",
    "eating", "cupboard", "shelf", "fridge", "bottle", "outside", "anchor",
    "degree", "degrees", "table", "cigar", "smoke", "night", "evening",
}
_MANNERS = frozenset({"style", "fashion", "way"})
"""How something is made: "pulled pork, vinegar style"."""
_TRADES = frozenset({"merchant", "merchants", "shop", "list", "cellar", "seller", "maker", "drinker", "drinkers"})
"""Who or what has to do with a drink: "a wine merchant"."""
_STANDING_IN = frozenset({"one", "ones", "thing", "things", "kind", "sort", "type"})
_PEOPLES = frozenset({
    "say", "reckon", "ask", "suggest", "think", "take", "bring", "have", "drink", "eat", "pour", "swear", "tell",
    "call",
})
_TELLING = frozenset({"say", "tell", "reckon", "suggest", "think", "swear", "ask"})
_TO_PEOPLE = frozenset({"suit", "ask", "tell", "thank", "blame"})
_FURTHER = frozenset({"with", "then", "no", "not", "never", "also", "plus", "but"})
_TO_SOMEBODY = frozenset({
    "no", "not", "n't", "yes", "now", "well", "look", "listen", "sorry", "thanks", "please", "cheers", "you", "right",
    "honestly", "hello", "hey", "aye",
})
_TASTING = frozenset({"taste", "find", "smell"})
_DRESSING = frozenset({"with", "on", "in", "of", "extra", "no", "without", "plus", "for", "from"})
_LITTLE = frozenset({
    "drop", "drops", "splash", "squeeze", "dash", "knob", "pinch", "spoon", "spoonful", "touch", "twist", "finger",
    "fingers",
})


_JOINED = frozenset({"and", "with", "plus", "extra", "two", "three", "a", "some", "little", "of", "bit", "slice", ","})


def garnish(tokens: Sequence[Token], before: tuple[int, int], span: tuple[int, int]) -> bool:
    """Whether it is what goes on or into the one before: "coffee, regular, milk and two sugars", "a bacon roll, brown
    sauce", "hot whiskey with a slice of orange"."""
    between = tokens[before[1] : span[0]]
    words = [t.lower for t in between]
    if words[-2:] == ["slice", "of"] and "with" in words and between[0].clause == tokens[span[0]].clause:
        return True
    inner = [t.lower for t in tokens[span[0] : span[1]]]
    if inner[-1] not in GARNISH or len(inner) > 2 or (len(inner) == 2 and inner[0] in ("cold", "hot", "warm")):
        return False
    close = [t for t in between if t.clause == tokens[span[0]].clause]
    small = _JOINED | GARNISH | _LITTLE if "with" in words else _JOINED
    return all(t.lower in small or t.pos == "PUNCT" for t in close) and not any(t.lower == "or" for t in between)


def hangs_on(tokens: Sequence[Token], before: tuple[int, int], span: tuple[int, int]) -> bool:
    """Whether the phrase is no pairing of its own: the one before in other words, its garnish, or a reason why."""
    return restates(tokens, before, span) or garnish(tokens, before, span) or explains(tokens, span)


def restates(tokens: Sequence[Token], before: tuple[int, int], span: tuple[int, int]) -> bool:
    """"Tangawizi, that ginger soda", "kolaches, the sausage kind": the same thing in other words."""
    between = [t.lower for t in tokens[before[1] : span[0]]]
    if any(t.lower in ("n't", "not", "no") for t in tokens[max(before[0] - 3, 0) : before[0]]):
        return False
    return between in ([",", "the"], [",", "that"], [",", "that", "'s"], [",", "it", "'s"], [",", "it", "'s", "a"])


def general(tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int, names: Names) -> Literal["none", ""]:
    """"none" where the next name says which ("a bit of cheese wouldn't hurt, a mild one, Caerphilly"), or where it only
    speaks of one that was named ("cider, and I'm from cider country")."""
    first, last = spans[k]
    if k and not tokens[last - 1].mark and tokens[last - 2].lower in {tokens[b - 1].lower for _, b in spans[:k]}:
        return "none" if last - first > 1 else ""
    if last - first > 1 or k + 1 >= len(spans):
        return ""
    following = spans[k + 1]
    between = [t for t in tokens[last : following[0]] if t.text != "."]
    parted = any(t.text == "," for t in between) and not any(t.lower in _FURTHER or t.pos == "CCONJ" for t in between)
    own = names.group(tokens[first:last])
    same = own == tokens[first].lemma and names.group(tokens[following[0] : following[1]]) == own
    return "none" if parted and same else ""


def explains(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """Whether a later "the lime" opens a reason why: "a caipirinha no, the lime will kill it"."""
    first, last = span
    lead = tokens[first - 1] if first else None
    if [t.lower for t in tokens[max(first - 3, 0) : first]] == ["it", "'s", "the"]:
        return True
    opens = first < 2 or tokens[first - 2].pos == "PUNCT" or tokens[first - 2].lower in ("but", "because")
    return bool(opens and lead and lead.lower == "the" and tokens[last - 1].dep == "nsubj"
                and tokens[tokens[last - 1].head].pos in ("VERB", "AUX"))


def likened(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """"Like licking an anchor", "as smooth as buttermilk": what something is compared to."""
    lead = [t for t in tokens[max(span[0] - 4, 0) : span[0]] if t.clause == tokens[span[0]].clause]
    for i, token in enumerate(lead):
        if token.lower == "like" and token.pos in ("ADP", "SCONJ") and any(t.tag == "VBG" for t in lead[i + 1 :]):
            return True
    return False


def names_something(
    tokens: Sequence[Token], chances: Sequence[float], first: int, last: int, people: Collection[str],
) -> bool:
    """Whether the phrase can name a drink or food: a listed name, or a noun that is no empty word or person's name.

    chances: of each token's naming a drink or food, by its vector. people: capitalised words of the other sections.
    """
    definite = [t.lower for t in tokens[max(first - 1, 0) : first]] == ["the"]
    if (definite and tokens[last - 1].lower in _STANDING_IN) or _person(tokens, last - 1):
        return False
    if tokens[last - 1].lower == "sake" and any(t.tag == "POS" for t in tokens[max(last - 2, 0) : last]):
        return False
    head = tokens[last - 1]
    if head.lower in _MANNERS | _TRADES:
        return False
    if any(t.mark for t in tokens[first:last]):
        return bool(head.mark) or chances[last - 1] >= NAMING_HEAD or any(t.pos == "ADP" for t in tokens[first:last])
    nouns = head.pos in ("NOUN", "PROPN") or (first == last - 2 and tokens[first].pos == "PROPN")
    if head.lower in _EMPTY or head.lemma in AVOIDING or not nouns or a_thing(tokens, first, last):
        return False
    alone = head.pos == "PROPN" and first == last - 1
    if alone and (head.text in people or _called(tokens, first)):
        return False
    return max(chances[first:last]) >= (NAMING_ALONE if alone else NAMING)


def _called(tokens: Sequence[Token], i: int) -> bool:
    """"Not a chance, Bríd, it'd flatten it": a name alone between commas behind words to somebody."""
    clause = [t for t in tokens if t.clause == tokens[i].clause and t.pos != "PUNCT"]
    spoken = {t.lower for t in tokens if t.clause == tokens[i].clause - 1}
    return len(clause) == 1 and not spoken.isdisjoint(_TO_SOMEBODY)


def _person(tokens: Sequence[Token], i: int) -> bool:
    """Whether an unlisted name with a capital does what people do, or is suited by something; or one without a capital
    says something."""
    token = tokens[i]
    if token.mark:
        return False
    if any(t.lower == token.lower and t.dep == "nsubj" and tokens[t.head].lemma in _TELLING for t in tokens):
        return True
    if token.pos != "PROPN":
        return False
    lemma = tokens[token.head].lemma
    named = any(
        t.lower == token.lower and t.dep == "nsubj" and tokens[t.head].lemma in _PEOPLES and any(
            o.mark and o.head == t.head and o.dep in ("dobj", "obj") for o in tokens
        ) for t in tokens
    )
    sided = (tokens[max(i - 2, 0)].lower, tokens[max(i - 1, 0)].lower) == ("along", "with")
    return named or sided or (token.dep == "nsubj" and lemma in _PEOPLES) or (
        token.dep in ("dobj", "obj") and lemma in _TO_PEOPLE
    )


def belongs(tokens: Sequence[Token], before: tuple[int, int], span: tuple[int, int]) -> bool:
    """Whether the name before it goes on with it: "crowdie on an oatcake", "an espresso without sugar"."""
    between = tokens[before[1] : span[0]]
    return bool(between) and between[0].lower in ("with", "without", "on") and all(
        t.pos in ("DET", "NUM") for t in between[1:]
    )


def dresses(tokens: Sequence[Token], before: tuple[int, int], span: tuple[int, int]) -> bool:
    """Whether the phrase only dresses the one before it: "bara brith, with salted butter", "port for the prune"."""
    if _stands_by(tokens, before, span):
        return False
    between = [t.lower for t in tokens[before[1] : span[0]] if t.pos not in ("PUNCT", "DET", "NUM")]
    touching = tokens[span[0]].clause == next((t.clause for t in tokens[before[1] : span[0]] if t.lower in between), -1)
    if len(between) == 1 and between[0] in _DRESSING and touching:
        return True
    lead = [t for t in tokens[before[1] : span[0]] if t.pos not in ("DET", "NUM")][-2:]
    if len(lead) == 2 and lead[0].text == "," and lead[1].lower == "with":
        return True
    return between[:1] == ["with"] and between[-1:] == ["of"] and bool(_LITTLE.intersection(between))


def joined(tokens: Sequence[Token], before: tuple[int, int], span: tuple[int, int]) -> bool:
    """"(Port for the prune) and toffee": joined, without "a" or "some", to what only dresses a name.

    After a "with" a listed food stands for itself: "(tea with milk) and shortbread", not "(with lemon) and ginger".
    """
    if [t.lower for t in tokens[before[1] : span[0]]] not in (["and"], ["and", "the"], ["or"], ["or", "the"]):
        return False
    head = tokens[span[1] - 1]
    led = next((t.lower for t in reversed(tokens[: before[0]]) if t.pos == "ADP" and t.lower != "of"), "")
    return led == "for" or not head.mark or head.lower in GARNISH | POURED


def _stands_by(tokens: Sequence[Token], before: tuple[int, int], span: tuple[int, int]) -> bool:
    """"Chai, with a mandazi", "sausage, with jelly alongside": what is eaten beside a drink, or served beside it."""
    first, last = span
    if [t.lower for t in tokens[last : last + 1]] in (["alongside"], ["beside"], ["next"], ["behind"], ["after"]):
        return True
    inner = {t.lower for t in tokens[first:last]}
    return (
        tokens[before[1] - 1].mark.startswith("drink") and tokens[last - 1].mark.startswith("food")
        and tokens[last - 1].lower not in GARNISH and inner.isdisjoint(GARNISH)
        and [t.lower for t in tokens[before[1] : first] if t.pos != "DET"][-1:] == ["with"]
    )


def without(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """Whether a clause of its own only takes something away: "black tea, no milk"; "no lime, no salt"."""
    first, last = span
    lead = [t.lower for t in tokens[max(first - 2, 0) : first]]
    if lead[-1:] == ["without"] or tokens[first].lower == "without":
        return True
    clause = [t for t in tokens if t.clause == tokens[first].clause and t.pos != "PUNCT"]
    rest = [t.lower for t in clause if not tokens[first].word <= t.word <= tokens[last - 1].word]
    head = tokens[last - 1]
    if head.mark and head.lower not in GARNISH | POURED:
        return False
    return bool(rest) and set(rest) <= {"no", "and", "not", "much", "too"} and "no" in rest


def tasted(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """Whether it names what is tasted in something: "the chocolate in it", "all that grapefruit", "extra ginger".

    "Anything with tonic in it" is a way of naming tonic.
    """
    first, last = span
    before = [t.lower for t in tokens[max(first - 2, 0) : first]]
    if before[-1:] in (["extra"], ["all"]) or tokens[first].lower == "extra" or _all_that(tokens, first):
        return True
    if _all_of_it(tokens, first, last):
        return True
    if before in (["anything", "with"], ["nothing", "with"]) or _had_in_it(tokens, span):
        return False
    if sensed(tokens, span):
        return True
    after = [t.lower for t in tokens[last : last + 5] if t.clause == tokens[last - 1].clause]
    after = after[: after.index("with")] if "with" in after else after
    return any(a == "in" and b in ("it", "there") for a, b in pairwise(after)) or after[:2] == ["on", "it"]


def sensed(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """"I don't taste any toffee": what is tasted, or not, and so a flavour wherever the sentence names it."""
    clause = [t for t in tokens[: span[0]] if t.clause == tokens[span[0]].clause]
    return any(t.lemma in _TASTING and t.pos == "VERB" for t in clause) and not any(t.lower == "with" for t in clause)


def set_beside(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """"(I taste espresso), and an espresso beside it": said to be had with the cigar, and not only a flavour."""
    after = [t.lower for t in tokens[span[1] : span[1] + 3] if t.clause == tokens[span[0]].clause]
    return len(after) > 1 and after[0] in ("with", "beside", "alongside") and after[1] in ("it", "this", "these") and (
        not sensed(tokens, span)
    )


def _had_in_it(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """"A butter tart with pecans in it": the "it" is the dish before the "with"."""
    first, last = span
    inside = next((i for i in range(first + 1, last) if tokens[i].lower == "with"), None)
    return inside is not None and any(t.mark for t in tokens[first:inside])


def _all_of_it(tokens: Sequence[Token], first: int, last: int) -> bool:
    """"(Sauvignon), all passionfruit and cut grass": joined to what the clause says that something is all of."""
    own = tokens[first].clause
    clause = [i for i in range(first) if tokens[i].clause == own and tokens[i].pos != "PUNCT"]
    return bool(clause) and own > 0 and tokens[clause[0]].lower == "all" and tokens[clause[-1]].lower == "and" and all(
        tokens[i].pos in ("NOUN", "PROPN", "ADJ", "VERB") for i in clause[1:-1]
    ) and len(clause) > 2


def _all_that(tokens: Sequence[Token], first: int) -> bool:
    words = [t.lower for t in tokens[max(first - 3, 0) : first]]
    return any(pair == ("all", "that") for pair in pairwise(words))


def of_another_cigar(tokens: Sequence[Token], span: tuple[int, int], phrases: Collection[tuple[str, ...]]) -> bool:
    """Whether the clause speaks of another cigar before it comes to the phrase."""
    words = [t.lower for t in tokens[: span[0]] if t.clause == tokens[span[0]].clause]
    return any(tuple(words[i : i + n]) in phrases for i in range(len(words)) for n in (2, 3, 4))
