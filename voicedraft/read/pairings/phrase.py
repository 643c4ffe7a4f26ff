"""Rule: the noun phrase of a pairing as said: with its modifiers, without article or measure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.pairings.tokens import Token

_MODIFIERS = frozenset({"ADJ", "NOUN", "PROPN", "NUM", "VERB"})
_NOMINAL = _MODIFIERS | {"DET", "PART"}
_MODIFYING = frozenset({"amod", "compound", "nmod", "nummod", "poss", "advmod"})
_LEADING = frozenset({"DET", "PUNCT", "CCONJ", "ADP"})
_DROPPED = frozenset({
    "a", "an", "the", "some", "any", "my", "your", "our", "that", "this", "more", "another", "one", "of", "and", "or",
    "with", "bit", "piece", "slice", "square", "chunk", "hunk", "wedge", "handful", "plate", "bowl", "glass", "cup",
    "mug", "pot", "dram", "drop", "measure", "nip", "shot", "bottle", "can", "jug", "tot", "spoon", "spoonful", "few",
    "couple", "lot", "little", "bite", "splash", "finger", "maybe", "like", "even", "just", "good", "nice", "lovely",
    "decent", "no", "not", "so", "then", "perhaps",
})
MEASURES = frozenset({
    "bit", "piece", "slice", "square", "chunk", "hunk", "wedge", "handful", "plate", "bowl", "glass", "cup", "mug",
    "pot", "dram", "drop", "measure", "nip", "shot", "bottle", "can", "jug", "tot", "pint", "sip", "slab", "cut",
    "splash", "finger", "spoonful", "block", "sliver", "crumb", "half",
})
_FILLERS = frozenset({"um", "uh", "er", "erm", "like", "maybe", "say"})


_CLITIC = re.compile(r"['’](?:d|ll|ve|re)$")
"""A verb run together with the name: "a flat white'd do"."""


def runs(tags: Sequence[str], tokens: Sequence[Token]) -> list[tuple[int, int]]:
    """Tagged ranges; cut at "or" and "and" where names stand on both sides."""
    out: list[tuple[int, int]] = []
    i = 0
    while i < len(tags):
        tagged = tags[i] != "O"
        last = i + 1
        while tagged and last < len(tags) and tags[last] == "I":
            last += 1
        if tagged:
            cuts = [j for j in range(i + 1, last - 1) if _parts(tokens, j)]
            edges = [i - 1, *cuts, last]
            out += [(a + 1, b) for a, b in pairwise(edges) if any(t.pos != "DET" for t in tokens[a + 1 : b])]
        i = last
    return out


def said_again(tokens: Sequence[Token], found: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The phrases found, and the places where the last word of one is said again behind a "no" or "not"."""
    out = list(found)
    heads = {tokens[last - 1].lower for _, last in found}
    for i, token in enumerate(tokens):
        lead = [t.lower for t in tokens[max(i - 2, 0) : i] if t.lower not in ("the", "a", "any")]
        if token.lower in heads and lead[-1:] in (["no"], ["not"]) and all(not a <= i < b for a, b in out):
            out.append((i, i + 1))
    return sorted(out)


def _parts(tokens: Sequence[Token], j: int) -> bool:
    """Whether token `j` parts two names: an "or", "and" or comma that is not inside a listed one ("bun and cheese")."""
    return tokens[j].lower in ("or", "and", ",") and not tokens[j].mark


def widen(tokens: tuple[Token, ...], first: int, last: int) -> tuple[int, int]:
    """The tagged range with the modifiers before it ("old dark" before "rum"), a second part of its noun, and what
    a measure measures ("bottle" before "of best bitter")."""
    while first > 0 and tokens[first].mark.endswith("/I"):
        first -= 1
    while last < len(tokens) and tokens[last].mark.endswith("/I"):
        last += 1
    while first > 0 and _modifies(tokens, first - 1, first):
        first -= 1
    if tokens[last - 1].lemma in MEASURES and [t.lower for t in tokens[last : last + 1]] == ["of"]:
        last = _measured(tokens, last + 1) or last
    while last < len(tokens) and tokens[last].clause == tokens[last - 1].clause and _continues(tokens, last):
        last += 1
    last = _without_verb(tokens, first, _prepared(tokens, last))
    while first < last - 1 and (tokens[first].lower in _DROPPED or tokens[first].pos in _LEADING) and not (
        tokens[first].mark and tokens[first + 1].mark.endswith("/I")
    ):
        first += 1
    while last - 1 > first and (
        tokens[last - 1].pos in ("PUNCT", "DET", "ADP", "CCONJ", "PRON")
        or (tokens[last - 1].lower in _WHERE and not tokens[last - 1].mark)
    ):
        last -= 1
    return first, last


def _without_verb(tokens: Sequence[Token], first: int, last: int) -> int:
    """`last` less a verb taken for a noun behind a listed name: "would a stout suit it", "a rum ruin this"."""
    object_next = [t.lower for t in tokens[last : last + 1]] in (["it"], ["this"])
    behind = last - 2 >= first and tokens[last - 2].mark and not tokens[last - 1].mark
    return last - 1 if behind and object_next else last


_WHERE = frozenset({"home", "round", "around", "near", "away", "alone", "out", "off"})
"""What stands behind a name without being of it: "leave the bourbon home"."""
_DONE = frozenset({
    "aged", "cured", "smoked", "cooked", "fried", "baked", "grilled", "roasted", "soaked", "stuffed", "rolled",
    "dipped", "finished", "matured", "braised", "steeped", "brewed", "poached", "pickled", "laced",
})
_HOW = frozenset({"in", "with", "over", "on"})


def _prepared(tokens: Sequence[Token], i: int) -> int:
    """One past "aged in amburana", "stuffed with nuts", "on the rocks" after a name that ends before `i`, else `i`."""
    if [t.lower for t in tokens[i : i + 3]] == ["on", "the", "rocks"]:
        return i + 3
    if i + 2 >= len(tokens) or tokens[i].lower not in _DONE or tokens[i + 1].lower not in _HOW:
        return i
    if tokens[i].clause != tokens[i - 1].clause:
        return i
    return _measured(tokens, i + 2) or i


def _modifies(tokens: tuple[Token, ...], i: int, head: int) -> bool:
    token = tokens[i]
    if token.clause != tokens[head].clause or token.lower in _DROPPED | _FILLERS:
        return False
    if token.lower == "-" or token.tag == "POS":
        return True
    return token.pos in _MODIFIERS and token.dep in _MODIFYING and token.head >= head


def _measured(tokens: Sequence[Token], i: int) -> int:
    """One past the noun that opens at `i`, 0 where none does."""
    last = i
    while last < len(tokens) and tokens[last].clause == tokens[i].clause and tokens[last].pos in _NOMINAL:
        last += 1
    return last if last > i and tokens[last - 1].pos in ("NOUN", "PROPN") else 0


def _continues(tokens: tuple[Token, ...], i: int) -> bool:
    token = tokens[i]
    return token.lower == "-" or (
        token.pos in ("NOUN", "PROPN") and tokens[i - 1].dep in ("compound", "amod") and tokens[i - 1].head == i
    )


def printed(text: str, opens: bool, clipped: bool = False) -> str:
    """The words as a pairing is printed: no article, no mark at the ends, no capital of the sentence.

    clipped: whether an "is" is run together with the name ("lemonade's no friend to it").
    """
    words = text.strip(" ,.;:!?…—–\"“”()").split()
    while len(words) > 1 and words[0].lower().strip(",") in ("a", "an", "the", "some", "any", "my", "your", "that"):
        words = words[1:]
    value = _CLITIC.sub("", " ".join(words))
    value = re.sub(r"['’]s$", "", value) if clipped else value
    return value[:1].lower() + value[1:] if opens else value
