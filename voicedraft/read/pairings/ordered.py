"""Rule: an order to do without something, given beside the talk of pairings, belongs to it: "Don't do a margarita."."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.pairings.tokens import Token

_DOING = frozenset({"do", "have", "drink", "eat", "take", "bring", "pour", "try", "serve", "pair", "bother", "touch"})
_LEAVING = frozenset({"avoid", "skip"})
_INNER = frozenset({"DET", "ADJ", "ADP", "PRON", "NOUN", "NUM", "PROPN"})
_OPENING = frozenset({"and", "but", "so", "oh", "please", "just", "now"})


def ordered_off(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """Whether the sentence opens with such an order, and a listed name is what it is about: "do not do a", "avoid"."""
    first, last = span
    lead = [t for t in tokens[:first] if t.pos != "PUNCT"]
    while lead and lead[0].lower in _OPENING:
        lead = lead[1:]
    words = [t.lower for t in lead]
    if not tokens[last - 1].mark or tokens[first].clause != (lead[0].clause if lead else -1):
        return False
    if words[:1] and lead[0].lemma in _LEAVING:
        verb = 0
    elif words[:1] == ["do"] and words[1:2] in (["n't"], ["not"]) and len(lead) > 2 and lead[2].lemma in _DOING:
        verb = 2
    elif words[:1] == ["never"] and len(lead) > 1 and lead[1].lemma in _DOING:
        verb = 1
    else:
        return False
    return all(t.pos in _INNER for t in lead[verb + 1 :]) and len(lead) - verb <= 4
