"""What the speaker takes back ("strike out creosote") or renames ("what I called caramel is honey")."""

from __future__ import annotations

from collections.abc import Sequence
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


def _taken_back(row: Tokens, mentions: Sequence[Mention], here: Sequence[int], out: dict[int, Correction]) -> None:
    """"I take the caramel back"."""
    for k in here:
        m = mentions[k]
        before = [t.lower for t in row.rows[max(0, m.first - 3) : m.first]]
        after = row.rows[m.last].lower if m.last < len(row.rows) else ""
        if after == "back" and ("take" in before or "took" in before):
            out.setdefault(k, Correction(k, None))
