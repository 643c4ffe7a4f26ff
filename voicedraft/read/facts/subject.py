"""Which words are of another cigar: the rest of the line, one smoked before, a friend's.

A clause with a phrase for another cigar, or with the name of another size, is of another; the next clauses of the same
sentence follow it until the cigar in hand is named again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from voicedraft.read.facts.context import Line, Session

_JOINTS = frozenset({"and", "but", "while", "where", "whereas", "so", "then", "or", "which"})


def mark(session: Session, vitola: str | None, name: Sequence[str] = ()) -> Session:
    """The session with `other` set on every line. `vitola` (the lexicon's name) and `name` are of the cigar in hand."""
    if vitola is None and not name and _first and _first[0][0] is session:
        return _first[0][1]
    own = frozenset(name)
    lines = tuple(replace(line, other=_others(line, vitola, own)) for line in session.lines)
    told = replace(session, lines=lines, vitola=vitola)
    if vitola is None and not name:
        _first[:] = [(session, told)]
    return told


_first: list[tuple[Session, Session]] = []
"""The last session marked without a name or size; facts and strength both start from it."""


def clauses(line: Line) -> list[tuple[int, int]]:
    """Token ranges of a line's clauses, cut at commas and at joining words."""
    cuts = [0]
    for i, token in enumerate(line.tokens):
        if i and (token.breaks or token.text in _JOINTS):
            cuts.append(i)
    bounds = [*cuts, len(line.tokens)]
    return [(a, b) for a, b in pairwise(bounds) if b > a]


def _others(line: Line, vitola: str | None, own: frozenset[str]) -> tuple[bool, ...]:
    found = _marks(line, vitola, own)
    if not found:
        return (False,) * len(line.tokens)
    state = False
    out: list[bool] = []
    for first, last in clauses(line):
        if line.tokens[first].stops:
            state = False
        marks = [m for m in found if first <= m[0] < last]
        for i in range(first, last):
            passed = [m for m in marks if m[0] <= i]
            out.append(passed[-1][1] if passed else marks[0][1] if marks else state)
        state = marks[-1][1] if marks else state
    return tuple(out)


def _marks(line: Line, vitola: str | None, own: frozenset[str]) -> list[tuple[int, bool]]:
    """(token, of another cigar) of each phrase in the line that points to a cigar, in order."""
    marks = [(h.first, True) for h in line.find("other_cigar")]
    marks += [(h.first, False) for h in line.find("this_cigar")]
    marks += [(h.first, True) for h in line.find("price.people") if _owns(line, h.last)]
    if vitola is not None and not line.words.vitolas.firsts.isdisjoint(line.vocabulary):
        marks += [(h.first, h.value.name != vitola) for h in line.words.vitolas.find(line.tokens)]
    marks += [(i, True) for i in _smoked_before(line)]
    marks += [(i, True) for i in _described_others(line, 0, len(line.tokens))]
    marks += [(i, True) for i in _named_others(line, 0, len(line.tokens), own)]
    return sorted(marks)


def _owns(line: Line, i: int) -> bool:
    """"My colleague's are", "a friend of mine smokes": what follows a person at token `i` is of their cigars."""
    after = [t.text for t in line.tokens[i : i + 4]]
    if line.tokens[i - 1].text == "'s":
        return bool(_THEIRS & set(after[:1]))
    if after[:2] == ["of", "mine"]:
        after = after[2:]
    if after[:1] == ["'s"]:
        return bool(_THEIRS & set(after[1:2]))
    return bool(_SMOKE & set(after[:1]))


def _smoked_before(line: Line) -> list[int]:
    """Places of "the last cigar", "the last one I had"; "it's the last cigar of the box" is this one."""
    out = []
    for i, token in enumerate(line.tokens[:-2]):
        after = [t.text for t in line.tokens[i + 1 : i + 4]]
        if token.text not in ("the", "my", "that") or after[0] != "last" or after[1] not in _CIGARS:
            continue
        told = after[1] != "one" or token.text == "my" or after[2:] in (["i"], ["we"], ["you"])
        before = line.tokens[i - 1].text if i and not token.breaks else ""
        of = [t.text for t in line.tokens[i + 3 : i + 4]] in (["of"], ["in"], ["from"])
        if told and not of and before not in _IS:
            out.append(i)
    return out


_CIGARS = frozenset({"cigar", "stick", "smoke", "one"})
_IS = frozenset({"is", "'s", "was", "be", "as"})
_THEIRS = frozenset({
    "are", "is", "were", "was", "favourite", "favorite", "usual", "ones", "one", "cigar", "stick", "went", "goes",
    "kept", "keeps", "needed", "wanted", "burned", "burnt", "canoed", "tunnelled",
})
_SMOKE = frozenset({"has", "smokes", "smoked", "prefers", "likes", "swears", "buys"})


def _described_others(line: Line, first: int, last: int) -> list[int]:
    """Places of "the fat one", "a skinny one", "their other one"."""
    adjectives = line.words.other_adjectives
    return [
        i for i in range(first + 1, last - 1)
        if line.tokens[i].text in adjectives and line.tokens[i + 1].text in _ONES
        and line.tokens[i - 1].text in ("the", "a", "an", "their", "that", "its")
    ]


_ONES = frozenset({"one", "ones", "size", "fella", "guy", "brother"})
_NAMERS = frozenset({"the", "their", "that", "those", "a", "his"})


def _named_others(line: Line, first: int, last: int, own: frozenset[str]) -> list[int]:
    """Places of names after "the", "their", "that" that are no part of the own name: "the Tallow Road"."""
    if not own:
        return []
    out = []
    for i in range(first + 1, last):
        token = line.tokens[i]
        if line.tokens[i - 1].text == "'s" and i >= 2 and line.tokens[i - 2].text not in own and _possessed(line, i):
            out.append(i)
            continue
        capital = token.printed[:1].isupper() and not token.printed.isupper() and len(token.printed) > 2
        if not capital or line.tokens[i - 1].text not in _NAMERS or token.text in own:
            continue
        following = line.tokens[i + 1] if i + 1 < last else None
        pair = following is not None and following.printed[:1].isupper() and not following.breaks
        if pair and following is not None and following.text not in own and not _known(line, i):
            out.append(i)
    return out


def _possessed(line: Line, i: int) -> bool:
    """"Arnie's Mexican": a person's other cigar, told with a capital on both words."""
    owner, thing = line.tokens[i - 2], line.tokens[i]
    named = owner.printed[:1].isupper() and (i - 2 > 0 or line.proper[i - 2])
    person = named and owner.text not in line.words.never_names
    leaf = line.words.leaves.at(line.tokens, i) is not None
    return person and leaf and thing.printed[:1].isupper() and line.section == "value"


def _known(line: Line, i: int) -> bool:
    """A country, region or size name is no name of a cigar."""
    return line.words.vitolas.at(line.tokens, i) is not None or line.words.leaves.at(line.tokens, i) is not None
