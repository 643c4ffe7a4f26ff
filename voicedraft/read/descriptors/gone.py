"""Rule: a flavour that its own sentence says is gone, whatever the odds: "cedar's gone", "it's gone, the cedar"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from voicedraft.read.denial import NOT
from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.outright import ARTICLES, IF, TELLING
from voicedraft.read.descriptors.tokens import Token, Tokens

_LEADING = ARTICLES | {"that", "this", "my", "all", "of"}
_HOPING = frozenset({"hope", "wish", "doubt", "ask", "wonder", "as", "like"})
_DENYING = NOT | IF | {"nor", "without"}
_HAVE = frozenset({"'s", "is", "are", "has", "have", "'ve"})
_LONG = _HAVE | {"now", "all", "long", "already", "completely", "clean", "just", "quite", "entirely", "altogether"}
_LEFT = frozenset({"gone", "vanished", "disappeared", "departed"})
_THEN = frozenset({"and", "now", "already", "too", "altogether", "completely", "entirely", "as", "by", "so", "for"})
_PRONOUNS = frozenset({"it", "that", "they", "this", "he", "she"})
_LEADS = frozenset({"and", "but", "so", "well", "now", "yes", "yeah", "aye", "no", "oh"})
_BACK = frozenset({
    "back", "returned", "returns", "again", "but", "though", "nearly", "almost", "thought", "wait", "until", "till",
})
_SINCE = re.compile(
    r"^(?:and |but )?(?:(?:it|that) )?(?:'s |has |is |'s all |all |long )?"
    r"(?:cleared|gone|passed|vanished|disappeared|went|faded) ?(?:up|off|away|out)?"
    r" (?:since|after that|afterwards|by now|already|now|altogether|entirely)$"
)
"""A clause of its own, behind the flavour, that tells that it has gone meanwhile: "cleared since"."""
_KEPT = re.compile(
    r"(?:is|'s|has|are|have) (?:n't|not) (?:(?:really|quite|all|yet|at all) )*(?:gone|vanished|disappeared)\b"
    r"(?! (?:up|down))"
)
"""What tells that it is there still: "isn't gone"."""
_TAKEN_BACK = re.compile(
    r"\b(?:or so i thought|(?:no|but|now|and) (?:, )?(?:wait , )?(?:there it is|it 's back(?! to)))\b"
)
_MEASURES = frozenset({"pobj", "npadvmod", "compound", "quantmod"})
"""What a noun is where it only tells how long or how much: "for three puffs"."""
_WITH = re.compile(r"(?:(?:along |gone )?with (?:it|him|her|that|them)|too|as well|likewise)(?: [,.;!]|$)")


def gone_outright(row: Tokens, mentions: Sequence[Mention], n: int) -> bool:
    """"Cedar's gone, I've hunted high", "I've lost the hay", "it's gone, has the cedar", "bitter for three puffs,
    cleared since", "the ginger's gone, and the fennel along with it". Not "it's gone to a hint", "it's gone and grown",
    "it's gone out, the cedar stays"."""
    rows, m = row.rows, mentions[n]
    begin, end = row.bounds[rows[m.first].sentence]
    if rows[end - 1].text == "?":
        return False
    if _named_last(rows, m, begin, end):
        return True
    if any(t.lemma in TELLING - _held(rows, t) or t.lower in _DENYING for t in rows[begin : m.first]):
        return False
    return (_said_gone(rows, m, end) or _lost(rows, m, begin, end) or _gone_since(row, mentions, n, end)
            or _gone_with(row, mentions, n, end))


def not_gone(row: Tokens, mentions: Sequence[Mention], n: int) -> bool:
    """"The cedar isn't gone", "it's gone, the cedar, no, wait, there it is", "I've lost the leather, and now it's
    back"."""
    rows, m = row.rows, mentions[n]
    begin, end = row.bounds[rows[m.first].sentence]
    lead = rows[begin : m.first]
    if rows[end - 1].text == "?" or any(t.lemma in TELLING | _HOPING or t.lower in _DENYING for t in lead):
        return False
    after = " ".join(t.lower for t in rows[m.last : end])
    if _KEPT.match(after):
        return True
    alone = all(o is m or not begin <= o.first < end for o in mentions)
    return alone and not _LEFT.union({"lost"}).isdisjoint(t.lower for t in rows[begin:end]) and (
        _TAKEN_BACK.search(after) is not None
    )


def _held(rows: Sequence[Token], t: Token) -> frozenset[str]:
    """"I'd say" tells what the speaker holds true; what a brother would say does not."""
    held = [r.lower for r in rows[max(0, t.index - 2) : t.index]] in (["i", "'d"], ["i", "would"])
    return frozenset({"say"}) if held else frozenset()


def _said_gone(rows: Sequence[Token], m: Mention, end: int) -> bool:
    after = rows[m.last : end]
    i = next((k for k, t in enumerate(after) if t.lower not in _LONG), len(after))
    if not after or after[0].lower not in _HAVE or not 0 < i < len(after) or after[i].lower not in _LEFT:
        return False
    then = after[i + 1 : i + 3]
    idiom = [t.lower for t in then[:1]] == ["and"] and then[-1].pos == "VERB"
    return not idiom and (not then or then[0].punct or then[0].lower in _THEN)


def _lost(rows: Sequence[Token], m: Mention, begin: int, end: int) -> bool:
    after = rows[m.last : end]
    lead = [t.lower for t in rows[max(begin, m.first - 3) : m.first] if t.lower not in ARTICLES]
    return lead[-2:] in (["'ve", "lost"], ["have", "lost"]) and (not after or after[0].punct or after[0].lower in _THEN)


def _named_last(rows: Sequence[Token], m: Mention, begin: int, end: int) -> bool:
    """"It's gone, the cedar." "That's vanished now, has the leather.": a pronoun's name told behind its clause."""
    after = [t.lower for t in rows[m.last : end]]
    if after and not rows[m.last].punct:
        return False
    i = m.first - 1
    while i >= begin and rows[i].lower in _LEADING:
        i -= 1
    if i == m.first - 1 or not _BACK.isdisjoint(after):
        return False
    if i >= begin and rows[i].lower in _HAVE:
        i -= 1
    if i < begin or rows[i].text != ",":
        return False
    i -= 1
    while i >= begin and rows[i].lower in _LONG | {"too", "as", "well"}:
        i -= 1
    if i < begin or rows[i].lower not in _LEFT:
        return False
    i -= 1
    while i >= begin and rows[i].lower in _LONG - _HAVE:
        i -= 1
    if i >= begin and rows[i].lower in _HAVE:
        i -= 1
        if i < begin or rows[i].lower not in _PRONOUNS:
            return False
        i -= 1
    return i < begin or rows[i].punct or (rows[i].lower in _LEADS and (i == begin or rows[i - 1].punct))


def _gone_since(row: Tokens, mentions: Sequence[Mention], n: int, end: int) -> bool:
    """A last clause that tells it of the only flavour of the sentence ("my own fault" is none)."""
    m, sentence = mentions[n], row.rows[mentions[n].first].sentence
    same = (o for o in mentions if row.rows[o.first].sentence == sentence)
    if {o.key for o in same} - {("fault",)} != {m.key}:
        return False
    last = row.rows[end - 1].segment - row.rows[end - 1].punct
    between = [t for t in row.rows[m.last : end] if t.segment < last]
    if any(t.pos in ("NOUN", "PROPN") and t.dep not in _MEASURES and t.lemma != "fault" for t in between):
        return False  # "The guests have gone, it's cleared up now" tells of something else.
    clauses: dict[int, list[str]] = {}
    for t in row.rows[m.last : end]:
        if not t.punct:
            clauses.setdefault(t.segment, []).append(t.lower)
    return bool(clauses) and _SINCE.match(" ".join(clauses[max(clauses)])) is not None


def _gone_with(row: Tokens, mentions: Sequence[Mention], n: int, end: int) -> bool:
    """"The ginger's gone, and the fennel along with it": it shares the fate told right before it."""
    rows, m = row.rows, mentions[n]
    before = [o for o in mentions[:n] if rows[o.first].sentence == rows[m.first].sentence and o.last < m.first]
    if not before or not _said_gone(rows, before[-1], end):
        return False
    after = " ".join(t.lower for t in rows[m.last : min(m.last + 4, end)])
    lead = [t.lower for t in rows[max(before[-1].last, m.first - 3) : m.first] if t.lower not in _LEADING]
    return lead[-1:] == ["and"] and _WITH.match(after) is not None
