"""What the speaker takes back ("strike out creosote") or renames ("what I called caramel is honey")."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from voicedraft.read.denial import NOT
from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.cues import Cue
from voicedraft.read.descriptors.merge import related
from voicedraft.read.descriptors.tokens import Token, Tokens

_STRIKES = frozenset({
    "scrub", "strike", "scratch", "scratching", "cross", "delete", "withdraw", "disregard", "take", "rub", "forget",
})
_NOT_SAID = frozenset({"nearly", "almost", "going", "gonna", "have", "thought", "wanted", "would", "should", "'d"})
"""A word that was only nearly said was never entered: nothing to rename."""
_REACH = 5
"""Words between a cue and the flavour that it speaks of."""
_CALLING = frozenset({
    "called", "named", "noted", "wrote", "written", "recorded", "described", "logged", "labelled", "labeled",
})
_WHEN = 8
"""Words from "what" to the verb of calling, with when it was called so between them; our own choice."""
_IS = frozenset({"is", "'s", "was", "turns", "turned", "proves", "proved", "must", "should", "be", "becomes", "reads"})
_NOT_ONE = NOT | {"might", "may", "could", "perhaps", "maybe", "possibly", "than", "into", "gone"}
"""Between two names these say that one is not, or not surely, another name of the other."""
_TAKE = frozenset({"take", "took", "taking"})
_ANOTHER = frozenset({"last", "other", "another", "previous", "first", "different"})
_CIGARS = frozenset({"cigar", "one", "stick", "smoke", "box", "brand", "size"})
_NOW = frozenset({"call", "mean", "meant", "make", "say", "read"})
"""Verbs that give the new name by themselves: "what I called tar I now call creosote"."""
_READ = frozenset({"read", "called"})
"""Verbs that give the new name behind "be": "should be read as straw"."""


@dataclass(frozen=True, slots=True)
class Correction:
    """Mention `old` is taken back; `new` is the mention that replaces it, or None."""

    old: int
    new: int | None


def find_corrections(row: Tokens, mentions: Sequence[Mention], cues: Sequence[Sequence[Cue]]) -> dict[int, Correction]:
    """The corrections, each under the mention at which it takes effect."""
    out: dict[int, Correction] = {}
    for s, (begin, end) in enumerate(row.bounds):
        here = [k for k, m in enumerate(mentions) if begin <= m.first < end]
        for cue in cues[s]:
            found: Correction | None = None
            if cue.kind == "corrected" and cue.group == "strike" and row.rows[cue.first].lower in _STRIKES:
                found = _strike(row, mentions, here, cue, begin)
            elif cue.kind == "corrected" and cue.group == "what_i_called":
                said = {t.lower for t in row.rows[cue.first : cue.last]}
                found = None if said & _NOT_SAID else _rename(row, mentions, here, cue)
            if found is not None:
                out.setdefault(found.old, found)
        for found in _called(row, mentions, here, begin, end):
            out.setdefault(found.old, found)
        _taken_back(row, mentions, here, out)
    return out


def _strike(row: Tokens, mentions: Sequence[Mention], here: Sequence[int], cue: Cue, begin: int) -> Correction | None:
    """"Strike out creosote" takes back what follows; "scratch that" the mention before."""
    ahead = [k for k in here if 0 <= mentions[k].first - cue.last <= 1]
    if ahead:
        return Correction(ahead[0], _replacement(row, mentions, here, ahead[0]))
    behind = [k for k, m in enumerate(mentions) if m.last <= cue.first and m.last > begin - 30]
    if behind and row.rows[cue.last - 1].lower in ("that", "it", "out"):
        return Correction(behind[-1], None)
    return None


def _replacement(row: Tokens, mentions: Sequence[Mention], here: Sequence[int], old: int) -> int | None:
    """The mention after "put", "it's" or "insert" behind the one that is taken back."""
    for k in here:
        if k > old and not related(mentions[k].key, mentions[old].key):
            between = {t.lower for t in row.rows[mentions[old].last : mentions[k].first]}
            if between & {"put", "'s", "is", "insert", "write", "make", "read"}:
                return k
    return None


def _rename(row: Tokens, mentions: Sequence[Mention], here: Sequence[int], cue: Cue) -> Correction | None:
    """"What I called caramel is honey": the first mention is the old name, the next other one the new."""
    old = next((k for k in here if 0 <= mentions[k].first - cue.last <= _REACH), None)
    if old is None:
        return None
    new, between = _next_name(row, mentions, here, old)
    return Correction(old, new) if new is not None and _one(between) else None


def _next_name(
    row: Tokens, mentions: Sequence[Mention], here: Sequence[int], old: int
) -> tuple[int | None, list[Token]]:
    """The next mention of another flavour, and the words up to it since the old one was last said."""
    last = old
    for k in here:
        if k > old and not related(mentions[k].key, mentions[old].key):
            return k, row.rows[mentions[last].last : mentions[k].first]
        last = max(last, k)
    return None, []


def _one(between: Sequence[Token]) -> bool:
    """Whether words between two names may say that they name one thing: not "is now joined by", "might be", "is gone
    and". A "no" set off by a comma corrects."""
    lower = [t.lower for t in between]
    said = [
        word for i, word in enumerate(lower)
        if word != "no" or (i + 1 < len(lower) and not between[i + 1].punct and lower[i + 1] not in ("it", "that"))
    ]
    if not _NOT_ONE.isdisjoint(said):
        return False
    links = [i for i, word in enumerate(lower) if word in _IS]
    if not links:
        return any(t.pos == "PUNCT" or t.lower in _NOW for t in between)
    if any(t.pos == "CCONJ" for t in between[links[0] :]):
        return False
    read = _READ if lower[links[-1]] == "be" else frozenset()
    return not any(t.pos == "VERB" and t.lower not in read for t in between[links[-1] + 1 :])


def _called(
    row: Tokens, mentions: Sequence[Mention], here: Sequence[int], begin: int, end: int
) -> Iterator[Correction]:
    """"What I, around the band, had called caramel is honey": words stand between "what I" and the verb."""
    for first, verb in _callings(row, begin, end, _CALLING):
        said = [t.lower for t in row.rows[first:verb]]
        if not _NOT_SAID.isdisjoint(set(said) - {"have"}) or _of_another(said):
            continue
        old = next((k for k in here if 0 <= mentions[k].first - verb - 1 <= _REACH), None)
        if old is None:
            continue
        new, between = _next_name(row, mentions, here, old)
        if new is not None and not _IS.isdisjoint(t.lower for t in between) and _one(between):
            yield Correction(old, new)


def _callings(row: Tokens, begin: int, end: int, verbs: Container[str]) -> Iterator[tuple[int, int]]:
    """Each "what I … called" of a sentence: its "what" and its verb."""
    for i in range(begin, end - 1):
        if row.rows[i].lower == "what" and row.rows[i + 1].lower in ("i", "we"):
            reach = range(i + 2, min(i + 2 + _WHEN, end))
            verb = next((j for j in reach if row.rows[j].lower in verbs), None)
            if verb is not None:
                yield i, verb


def _of_another(said: Sequence[str]) -> bool:
    """"What I on the last cigar called cocoa"."""
    return any(a in _ANOTHER and b in _CIGARS for a, b in pairwise(said))


def only_named(row: Tokens, mentions: Sequence[Mention]) -> set[int]:
    """Mentions that "what I called" leads to: the words say what it was called, and by that alone never deny it. Not
    the only flavour of a sentence that denies: "what I called cedar isn't here at all"."""
    out: set[int] = set()
    for begin, end in row.bounds:
        for _, verb in _callings(row, begin, end, _CALLING | {"call"}):
            later = [m for m in mentions if verb < m.first < end]
            if not later or later[0].first - verb - 1 > 1:
                continue
            rest = [t.lower for t in row.rows[later[0].last : end]]
            if len(later) > 1 or NOT.isdisjoint(rest):
                out.add(mentions.index(later[0]))
    return out


def _taken_back(row: Tokens, mentions: Sequence[Mention], here: Sequence[int], out: dict[int, Correction]) -> None:
    """"I take the caramel back", "the caramel I take back", where the same sentence has not renamed it."""
    renamed = [mentions[k].key for k in here if k in out and out[k].new is not None]
    for k in here:
        m = mentions[k]
        if any(related(m.key, key) for key in renamed):
            continue
        before = [t.lower for t in row.rows[max(0, m.first - 3) : m.first]]
        after = row.rows[m.last].lower if m.last < len(row.rows) else ""
        if (after == "back" and not _TAKE.isdisjoint(before)) or _behind(row.rows[m.last : m.last + _REACH + 1]):
            out.setdefault(k, Correction(k, None))


def _behind(after: Sequence[Token]) -> bool:
    """"(The caramel) I take back", and not "I would take back home"."""
    lower = [t.lower for t in after]
    back = next((i for i, (a, b) in enumerate(pairwise(lower), 1) if a in _TAKE and b == "back"), None)
    if lower[:1] != ["i"] or back is None or not (NOT | _NOT_SAID).isdisjoint(lower[:back]):
        return False
    return back + 1 == len(after) or after[back + 1].pos in ("PUNCT", "CCONJ")
