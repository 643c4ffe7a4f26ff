"""Rule: a sentence that does nothing but name drinks and foods wants them: "Tawny port, stout, flat white.";
behind a question or heading that asks so it refuses them: "What would I skip? Lager, shandy."."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Literal

from voicedraft.read.pairings.refusal import AVOIDING, NEGATIONS, refusing
from voicedraft.read.pairings.tokens import Row, Token

_SMALL = frozenset({"and", "or", "then", "maybe", "perhaps", "also", "plus", "too", "some", "even", "say", "again"})
_DESCRIBING = frozenset({"ADJ", "NOUN", "PROPN", "NUM"})
_LEAVING = frozenset({"avoid", "skip", "shun", "leave", "refuse"})
_TAKING = frozenset({
    "go", "work", "suit", "fit", "pair", "match", "agree", "belong", "sit", "do", "have", "pour", "drink", "eat",
    "serve", "take", "put", "touch", "try", "want", "recommend", "choose", "order", "bring", "smoke", "like", "enjoy",
})
"""Verbs with which a question that denies asks what does not go with it."""
_CIGAR = frozenset({"cigar", "smoke", "stick", "leaf"})
_ANSWERED = 6
"""Words of the sentence after it in which it may be refused; our own choice."""


def only_names(tokens: Sequence[Token]) -> bool:
    """Whether nothing but listed names, what describes them and small words stand in the sentence; no question."""
    if not any(t.mark for t in tokens) or tokens[-1].text == "?":
        return False
    return all(
        t.mark or t.pos in ("PUNCT", "DET") or t.lower in _SMALL
        or (t.pos in _DESCRIBING and t.dep in ("amod", "compound", "nummod") and tokens[t.head].mark)
        for t in tokens
    ) and not any(t.lower in NEGATIONS for t in tokens)


def asks_what_not(tokens: Sequence[Token]) -> bool:
    """"What would I skip?", "things to avoid", "what doesn't go with it", "which wouldn't I pour?"; not "what
    wouldn't I give for it"."""
    words = [t for t in tokens if t.pos != "PUNCT"]
    denied = [i for i, t in enumerate(words) if t.lower in NEGATIONS]
    leaving = any(t.lemma in _LEAVING for t in words[-3:])
    if leaving:
        return not denied
    asking = next((i for i, t in enumerate(words) if t.lower in ("what", "which")), None)
    verb = next((t for t in words[denied[0] + 1 :] if t.pos == "VERB"), None) if len(denied) == 1 else None
    if verb is None or verb.lemma not in _TAKING or any(t.lower in ("wrong", "without") for t in words):
        return False
    return asking is not None and asking < 3 and asking < denied[0] <= asking + 4 and not any(
        t.mark or t.lemma in AVOIDING for t in words
    )


def of_others(tokens: Sequence[Token]) -> bool:
    """Whether somebody or something else than the speaker and the cigar is what the sentence speaks of: "what my dad
    drank with his", "things my doctor took off me"."""
    who = [t for t in tokens if t.dep == "nsubj" and t.lemma not in _CIGAR]
    return any(t.lower in ("he", "she", "they") or t.pos in ("NOUN", "PROPN") for t in who)


def bare(n: int, sections: Sequence[str], rows: Callable[[int], Row]) -> Literal["yes", "no", ""]:
    """What is said of the names of sentence `n` where it only names: nothing where what led to it or what follows
    refuses some other way ("I'd have no spirits at all. Gin, rum.", "Lager, shandy. Not for me.")."""
    if sections[n] != "pairings" or not only_names(rows(n).tokens):
        return ""
    before = next((m for m in range(n - 1, -1, -1) if not only_names(rows(m).tokens)), None)
    if before is not None and sections[before] == "pairings":
        if asks_what_not(rows(before).tokens):
            return "no"
        if refusing(rows(before).tokens) or of_others(rows(before).tokens):
            return ""
    if n + 1 == len(sections) or sections[n + 1] != "pairings":
        return "yes"
    opening = [t for t in rows(n + 1).tokens if t.pos != "PUNCT"][:_ANSWERED]
    denied = any(t.lower in NEGATIONS or t.lemma in AVOIDING or t.lower in AVOIDING for t in opening)
    return "" if denied and not any(t.mark for t in opening) else "yes"
