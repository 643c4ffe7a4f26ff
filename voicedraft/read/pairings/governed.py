"""Rule: the verb that a name hangs on says that it is refused.

Denied: "I wouldn't bother with lager", "don't have a shandy", "nobody brings garlic near it".
Sent elsewhere: "I'd leave the fig bars in the bag", "keep your prawns for another day". Turned down: "I'd turn down X".
Headed: "what would you avoid, I'd say X".
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.pairings.refusal import NEGATIONS
from voicedraft.read.pairings.tokens import Token

_DOING = frozenset({
    "have", "drink", "eat", "take", "put", "bother", "bring", "touch", "pour", "try", "serve", "pair", "match",
    "recommend", "come", "order", "open", "advise", "suggest", "set", "let", "sip", "use", "offer", "pick", "choose",
    "go", "want", "add", "mix", "combine", "smoke", "do",
})
_ELSEWHERE = frozenset({
    "in", "for", "to", "out", "away", "back", "behind", "home", "under", "outside", "where", "alone",
})
_SHELVED = frozenset({("at", "home"), ("at", "the"), ("on", "the")})
_READY = frozenset({"side", "hand", "standby", "ready", "heat", "table", "then", "till", "until", "while", "minutes"})
"""What is kept there, or so long, is wanted: "keep some shortbread on the side", "ten minutes in the fridge, then"."""
_LATER = frozenset({"third", "last", "end", "after", "afterwards", "later", "second", "final", "half", "elbow", "hand"})
_BUT = frozenset({
    "wrong", "past", "without", "than", "until", "till", "unless", "but", "except", "enough", "better", "more", "only",
    "just", "if", "anything", "else", "far",
})
_SUBJECTS = frozenset({"i", "you", "we", "one", "nobody"})
_WISHING = frozenset({"would", "wo", "ca", "could", "should", "might", "must", "'d", "will", "'ll", "can", "need"})
_TURNING = frozenset({"but", "instead", "though", "with", "rather", "yes"})
_INTO = frozenset({"in", "into", "on", "over"})
"""What is put into a drink is refused, not the drink: "I wouldn't put ice in the bourbon"."""
_CHAIN = frozenset({"pobj", "prep", "conj", "compound", "dobj", "obj", "poss", "amod", "nmod", "appos", "npadvmod"})
_IF = frozenset({"if", "when", "since", "because", "who", "unless", "as"})
_STEPS = 6


def governed(tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int) -> bool:
    """Whether the name's own verb refuses it, or the heading of its list does."""
    first, last = spans[k]
    if _headed(tokens, spans, k):
        return True
    verb = governing(tokens, last - 1)
    start = spans[k - 1][1] if k else 0
    if verb is None or not start <= verb < first:
        return False
    between = {t.lower for t in tokens[verb + 1 : first]}
    if not between.isdisjoint(_BUT):
        return False
    return _denied(tokens, verb) or _sent_off(tokens, verb, last) or (
        tokens[verb].lemma == "turn" and "down" in between and _wishes(tokens, verb)
        and not any(t.lower in NEGATIONS for t in tokens[max(verb - 3, 0) : verb])
    )


def governing(tokens: Sequence[Token], i: int) -> int | None:
    """The verb that the noun at `i` hangs on."""
    for _ in range(_STEPS):
        if tokens[i].dep not in _CHAIN or tokens[i].head == i or tokens[i].lower in _INTO:
            return None
        i = tokens[i].head
        if tokens[i].pos in ("VERB", "AUX"):
            return i
    return None


def subject_of(tokens: Sequence[Token], verb: int) -> Token | None:
    """The verb's subject, where it has one: the last of several."""
    return next((t for t in reversed(tokens) if t.dep == "nsubj" and t.head == verb), None)


def _subject(tokens: Sequence[Token], verb: int) -> str:
    found = subject_of(tokens, verb)
    return found.lower if found else ""


def _denied(tokens: Sequence[Token], verb: int) -> bool:
    """Whether the verb is one of having or giving, denied as a wish or an order."""
    token = tokens[verb]
    if token.lemma not in _DOING or token.dep in ("relcl", "acl"):
        return False
    subject = _subject(tokens, verb)
    if token.dep == "advcl" and subject:
        return False
    if subject == "nobody":
        return token.tag in ("VB", "VBZ", "VBP")
    if subject not in _SUBJECTS and subject:
        return False
    if any(t.lower in _IF and t.clause == token.clause for t in tokens[:verb]):
        return False
    lead = [t for t in tokens[max(verb - 4, 0) : verb] if t.clause == token.clause]
    at = next((i for i, t in enumerate(lead) if t.lower in ("n't", "not", "never")), None)
    if at is None or token.tag not in ("VB", "VBP"):
        return False
    helper = lead[at - 1].lower if at else ""
    ordered = not subject and helper in ("do", "please", "")
    return ordered or helper in _WISHING or (subject == "you" and helper == "do")


def _wishes(tokens: Sequence[Token], verb: int) -> bool:
    """Whether the verb is an order, or what somebody would do."""
    lead = {t.lower for t in tokens[max(verb - 4, 0) : verb] if t.clause == tokens[verb].clause}
    subject = _subject(tokens, verb)
    return tokens[verb].tag in ("VB", "VBP") and (
        (not subject and lead.isdisjoint({"to"})) or (subject in _SUBJECTS and not lead.isdisjoint(_WISHING))
    )


def _sent_off(tokens: Sequence[Token], verb: int, last: int) -> bool:
    """"I'd leave the fig bars in the bag", "keep an onion in another parish"; not "keep the port for the end"."""
    if tokens[verb].lemma not in ("keep", "leave", "save") or not _wishes(tokens, verb):
        return False
    after = [t.lower for t in tokens[last : last + 6] if t.clause == tokens[last - 1].clause]
    before = [t.lower for t in tokens[max(verb - 3, 0) : verb]]
    far = bool(after) and (after[0] in _ELSEWHERE or tuple(after[:2]) in _SHELVED)
    waits = any(t.lower in _READY for t in tokens[last : last + 8])
    return far and not waits and _LATER.isdisjoint(after) and NEGATIONS.isdisjoint(before)


def _headed(tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int) -> bool:
    """"What would you avoid, I'd say X, and Y": the clause before the first name asks or says what to avoid."""
    opening = [t for t in tokens[: spans[0][0]] if t.clause < tokens[spans[0][0]].clause and t.pos != "PUNCT"]
    if not opening or opening[-1].lemma not in ("avoid", "skip") or any(t.lower in NEGATIONS for t in opening):
        return False
    first, last = spans[k]
    own = {t.lower for t in tokens[last:] if t.clause == tokens[first].clause}
    return own.isdisjoint(NEGATIONS) and _TURNING.isdisjoint(t.lower for t in tokens[spans[0][0] : first])


def unneeded(tokens: Sequence[Token], first: int, last: int) -> bool:
    """"You don't need a fancy whisky", "don't put sugar in the coffee", "leave the beer in the fridge till then":
    neither refused nor wanted."""
    lead = [t for t in tokens[max(first - 7, 0) : first] if t.clause == tokens[first].clause]
    words = [t.lower for t in lead]
    no = next((i for i, word in enumerate(words) if word in ("n't", "not", "never")), None)
    if no is None:
        left = any(t.lemma == "leave" for t in lead)
        return left and any(t.lower in _READY for t in tokens[last : last + 8])
    into = any(
        word in ("in", "into") and words[i - 1] not in ("it", "this", "that")
        for i, word in enumerate(words) if i > no + 2
    )
    needed = any(t.lemma == "need" for t in lead[no + 1 : no + 2]) and tokens[last - 1].dep in ("dobj", "obj")
    return needed or (into and any(t.lemma in ("put", "add", "pour", "mix") for t in lead[no:]))
