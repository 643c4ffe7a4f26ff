"""What the tagger sees of each token: grammar, listed names, words of liking and refusing around it, and its vector."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from voicedraft.read.pairings.tokens import Floats, Names, Row, Token

_SPEAKING = frozenset({"VERB", "NOUN", "ADJ", "ADV", "ADP", "AUX", "PART"})
_LINKS = frozenset({"conj", "compound", "amod", "nmod", "appos", "nummod"})
_EDGES = (0.05, 0.2, 0.5, 0.8, 0.95)
"""Steps of a chance."""
Features = list[str]


def step(chance: float) -> int:
    """The step of a chance."""
    return sum(chance >= edge for edge in _EDGES)


def features(
    row: Row, names: Names, probes: Floats, known: Collection[str], section: str, chance: float,
) -> list[Features]:
    """One list of feature names for each token of a sentence.

    probes: (tokens, 3) chances of being no, a drink's, a food's name by the vector. known: words that may be seen by
    name. section: of the sentence. chance: that the sentence talks of pairings, 0 to 1.
    """
    tokens = row.tokens
    seen = [_seen(t, p) for t, p in zip(tokens, probes, strict=True)]
    good, bad = _cues(tokens, names.good), _cues(tokens, names.bad)
    opening = _opening(tokens, known)
    pairing = section == "pairings"
    out = []
    for i, token in enumerate(tokens):
        head, relation = _governor(tokens, i)
        table = [
            "b", f"sec={pairing}", f"ch={step(chance)}", f"sc={pairing}/{step(chance)}", f"op={opening}",
            f"cap={token.text[:1].isupper() and i > 0}", f"first={token.clause == 0}", f"gr={relation}",
            f"good={good[i]}", f"bad={bad[i]}", f"gb={good[i]}/{bad[i]}", f"m={token.mark}/{pairing}",
            f"p={seen[i]}/{pairing}", f"t={token.tag}/{pairing}",
        ]
        if head.lemma in known:
            table.append(f"g={relation}/{head.lemma}")
        table += _window(tokens, seen, i, known)
        table += _clause(tokens, i, known)
        out.append(table)
    return out


def _seen(token: Token, probe: Floats) -> str:
    """Steps of the chances that the word names a drink or food."""
    return f"{step(float(probe[1] + probe[2]))}"


def _window(tokens: Sequence[Token], seen: Sequence[str], i: int, known: Collection[str]) -> Features:
    out = []
    for at in (-3, -2, -1, 0, 1, 2, 3):
        j = i + at
        if not 0 <= j < len(tokens):
            out.append(f"{at}end")
            continue
        other = tokens[j]
        if other.lower in known:
            out.append(f"{at}w={other.lower}")
        out.append(f"{at}t={other.tag}")
        out.append(f"{at}d={other.dep}")
        if abs(at) < 3:
            out += [f"{at}m={other.mark}", f"{at}p={seen[j]}"]
    if i:
        out.append(f"tt={tokens[i - 1].tag}/{tokens[i].tag}")
    return out


def _clause(tokens: Sequence[Token], i: int, known: Collection[str]) -> Features:
    """Known words of the token's own clause and of the ones beside it."""
    out = []
    own = tokens[i].clause
    for j, other in enumerate(tokens):
        apart = other.clause - own
        if abs(apart) <= 1 and other.lemma in known and other.pos in _SPEAKING:
            side = f"{apart}" if apart else ("<" if j < i else ">" if j > i else "=")
            out.append(f"c{side}{other.lemma}")
    return sorted(set(out))


def _governor(tokens: Sequence[Token], i: int) -> tuple[Token, str]:
    """The word that the token's phrase or list hangs on, and the relation."""
    for _ in range(8):
        if tokens[i].dep not in _LINKS or tokens[i].head == i:
            break
        i = tokens[i].head
    return tokens[tokens[i].head], tokens[i].dep


def _opening(tokens: Sequence[Token], known: Collection[str]) -> str:
    """The sentence's first two words of weight, as far as known: "to drink", "food", "avoid"."""
    words = [t.lower for t in tokens if t.pos not in ("PUNCT", "CCONJ", "DET", "INTJ")][:2]
    return " ".join(w if w in known else "*" for w in words)


def _cues(tokens: Sequence[Token], cues: frozenset[tuple[str, ...]]) -> list[bool]:
    """Whether a cue of the list stands in the token's clause."""
    hit: set[int] = set()
    for i in range(len(tokens)):
        for size in range(1, 6):
            if tuple(t.lower for t in tokens[i : i + size]) in cues:
                hit.add(tokens[i].clause)
    return [t.clause in hit for t in tokens]
