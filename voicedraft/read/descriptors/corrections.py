"""What the speaker takes back ("strike out creosote") or renames ("what I called caramel is honey")."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.cues import Cue
from voicedraft.read.descriptors.merge import related
from voicedraft.read.descriptors.tokens import Tokens

_STRIKES = frozenset({
    "scrub", "strike", "scratch", "scratching", "cross", "delete", "withdraw", "disregard", "take", "rub", "forget",
})
_NOT_SAID = frozenset({"nearly", "almost", "going", "gonna", "have", "thought", "wanted", "would", "'d"})
"""A word that was only nearly said was never entered: nothing to rename."""
_REACH = 5
"""Words between a cue and the flavour that it speaks of."""
_CALLING = frozenset({
    "called", "call", "named", "noted", "wrote", "written", "recorded", "described", "logged", "labelled", "labeled",
})
_WHEN = 8
"""Words from "what" to the verb of calling, with when it was called so between them; our own choice."""
_IS = frozenset({"is", "'s", "was", "turns", "turned", "proves", "proved", "must", "should", "be", "becomes", "reads"})


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
                found = None if said & _NOT_SAID else _rename(mentions, here, cue)
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


def _rename(mentions: Sequence[Mention], here: Sequence[int], cue: Cue) -> Correction | None:
    """"What I called caramel is honey": the first mention is the old name, the next other one the new."""
    old = next((k for k in here if 0 <= mentions[k].first - cue.last <= _REACH), None)
    if old is None:
        return None
    new = next((k for k in here if k > old and not related(mentions[k].key, mentions[old].key)), None)
    return Correction(old, new) if new is not None else None


def _called(
    row: Tokens, mentions: Sequence[Mention], here: Sequence[int], begin: int, end: int
) -> Iterator[Correction]:
    """"What I, around the band, had called caramel is honey": words stand between "what I" and the verb."""
    lower = [t.lower for t in row.rows[begin:end]]
    for i, word in enumerate(lower[:-1]):
        if word != "what" or lower[i + 1] not in ("i", "we"):
            continue
        verb = next((j for j in range(i + 2, min(i + 2 + _WHEN, len(lower))) if lower[j] in _CALLING), None)
        if verb is None or not _NOT_SAID.isdisjoint(set(lower[i:verb]) - {"have"}):
            continue
        old = next((k for k in here if 0 <= mentions[k].first - begin - verb - 1 <= _REACH), None)
        new = None if old is None else next((k for k in here if k > old), None)
        if old is None or new is None or related(mentions[old].key, mentions[new].key):
            continue
        between = [t.lower for t in row.rows[mentions[old].last : mentions[new].first]]
        if not _IS.isdisjoint(between) and _DENIED.isdisjoint(between):
            yield Correction(old, new)


_DENIED = frozenset({"not", "n't", "no", "never"})


def _taken_back(row: Tokens, mentions: Sequence[Mention], here: Sequence[int], out: dict[int, Correction]) -> None:
    """"I take the caramel back", where the same sentence has not renamed it."""
    renamed = [mentions[k].key for k in here if k in out and out[k].new is not None]
    for k in here:
        m = mentions[k]
        if any(related(m.key, key) for key in renamed):
            continue
        before = [t.lower for t in row.rows[max(0, m.first - 3) : m.first]]
        after = row.rows[m.last].lower if m.last < len(row.rows) else ""
        if after == "back" and ("take" in before or "took" in before):
            out.setdefault(k, Correction(k, None))
