"""Rule: a flavour that was weighed, and left: "I nearly wrote fig, only fig is sweeter", "not what I'd call sweet"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from voicedraft.read.denial import NOT
from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.outright import ARTICLES
from voicedraft.read.descriptors.tokens import Token, Tokens

_NAMING = frozenset({"say", "write", "call", "note"})
_BE = frozenset({"is", "'s", "was"})
_PAST = frozenset({"was", "were", "been"})
_WEIGHING = frozenset({"going", "about", "tempted", "inclined", "ready"})
_LEAVING = frozenset({"but", "only", "except"})
_BESIDE = frozenset({"also", "too", "plus", "specifically", "more"})
_SUBJECTS = frozenset({"it", "that", "this"})
_NOT_CALLED = re.compile(
    r"(?<!doubt )\b(?:n't|not|never|hardly|nothing) (?:(?:really|quite|exactly|yet|at all|even) )*"
    r"(?:(?:what|something|anything) )?(?:that )?(?:i|you|we|one|anyone|anybody) (?:'d|would|could) "
    r"(?:(?:really|quite|exactly|ever) )?(?:call|say)$"
)
"""What leads to a name that is not given: "it still isn't what I'd call sweet"."""
_FIRST_TAKEN = re.compile(
    r"\bi (?:'d|would) (?:have |'ve )(?:said|sworn|called)(?: (?:it|that|this|they))?(?: (?:was|is|were))?$"
)
"""What leads to a name that was taken for right at first: "I'd have said it was"."""
_FIRST = frozenset({"first", "initially"})
_SUPPOSED = frozenset({"if", "unless", "whether", "doubt"})


def nearly_said(row: Tokens, mentions: Sequence[Mention], n: int) -> bool:
    """"I wanted to say honey, but it's drier than that", "I nearly wrote fig, only fig is sweeter", "it isn't what I'd
    call sweet". Not where the sentence comes round to it ("I nearly said fig, but fig it is"), where it is announced
    and made smaller ("I'm going to say honey, but faint"), or where something else kept from saying it ("I wanted to
    say honey, but the phone rang")."""
    rows, m = row.rows, mentions[n]
    begin, end = row.bounds[rows[m.first].sentence]
    if rows[end - 1].text == "?":
        return False
    lead = [t for t in rows[begin : m.first] if t.lower not in ARTICLES]
    words = [t.lower for t in lead]
    if _would_have(rows, mentions, n, words, end):
        return True
    if not lead or lead[-1].lemma not in _NAMING:
        return False
    called = _NOT_CALLED.search(" ".join(words))
    if called is not None:
        before = words[: len(" ".join(words)[: called.start()].split())]
        return _SUPPOSED.isdisjoint(before) and NOT.isdisjoint(before) and not _comes_round(rows, mentions, n, end)
    return (NOT.isdisjoint(words) and _was_weighed(lead, words) and _left(rows, mentions, n, end)
            and not _comes_round(rows, mentions, n, end))


def _was_weighed(lead: Sequence[Token], words: Sequence[str]) -> bool:
    """"I wanted to say", "I was about to write", "I nearly called"."""
    if not {"nearly", "almost"}.isdisjoint(words[-3:-1]):
        return lead[-1].tag in ("VBD", "VBN")
    if words[-2:-1] != ["to"]:
        return False
    told = words[-5:-2]
    return "wanted" in told or (not _WEIGHING.isdisjoint(told) and not _PAST.isdisjoint(words[-6:-2]))


def _left(rows: Sequence[Token], mentions: Sequence[Mention], n: int, end: int) -> bool:
    """Whether what follows sets it against the smoke, itself or another flavour: "but it's drier than that", "only fig
    is sweeter", "but then decided on date"."""
    m = mentions[n]
    at = m.last + (m.last < end and rows[m.last].text == ",")
    rest = [t.lower for t in rows[at:end]]
    if len(rest) < 3 or rest[0] not in _LEAVING or not _BESIDE.isdisjoint(rest[1:4]) or rest[1] == "with":
        return False
    later = [o for o in mentions[n + 1 :] if o.first < end]
    own = [o for o in later if set(o.key) & set(m.key)]
    if own:
        return any(rows[o.last].lower in _BE for o in own if o.last < end)
    return bool(later) or (rest[1] in _SUBJECTS and rest[2] in _BE) or "not" in rest[:4]


def _comes_round(rows: Sequence[Token], mentions: Sequence[Mention], n: int, end: int) -> bool:
    m = mentions[n]
    again = [o for o in mentions[n + 1 :] if o.first < end and set(o.key) & set(m.key)]
    rest = rows[m.last : end]
    return any(_is_it(rows, o, end) for o in again) or any(
        (a.lower, b.lower) in (("it", "is"), ("i", "will"), ("i", "'ll"), ("here", "it"), ("there", "it"))
        and (c is None or c.punct or c.lower == "is")
        for a, b, c in zip(rest, rest[1:], [*rest[2:], None], strict=False)
    )


def _would_have(rows: Sequence[Token], mentions: Sequence[Mention], n: int, words: Sequence[str], end: int) -> bool:
    """"Which at first I'd have said was pepper, and is ginger": another is named for it in the same sentence. Not "I'd
    have said leather, and there's coffee too"."""
    if _FIRST_TAKEN.search(" ".join(words)) is None:
        return False
    for o in mentions[n + 1 :]:
        if o.first >= end:
            return False
        if set(o.key) & set(mentions[n].key):
            continue
        verb = [t.lower for t in rows[mentions[n].last : o.first] if t.lower not in ARTICLES]
        if not _FIRST.isdisjoint(words):
            return rows[o.first - 1].lower != "like" and not _BE.isdisjoint(verb[-2:])
        told = len(verb) > 1 and verb[-1] in _BE and verb[-2] in _SUBJECTS | {"and", "which"}
        return told and rows[o.last - 1].pos in ("NOUN", "PROPN")
    return False


def _is_it(rows: Sequence[Token], o: Mention, end: int) -> bool:
    """"It is fig", "fig it is"."""
    before = [t.lower for t in rows[max(0, o.first - 4) : o.first] if t.lower not in ARTICLES]
    after = [t.lower for t in rows[o.last : min(o.last + 2, end)]]
    return before[-2:] in (["it", "is"], ["it", "'s"], ["that", "is"], ["that", "'s"]) or after == ["it", "is"]
