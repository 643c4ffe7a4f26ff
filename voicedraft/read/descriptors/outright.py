"""Rule: what the words right at a flavour's name say of it, beside the learned odds.

Denied outright, whatever the odds: "it's not sultana, it is date", "no farmyard either".
Claimed in its own clause, so that it takes better odds to deny it: "it's cedar, and I wrote no molasses": what is said
of one flavour is not said of the other. Only spoken of, no flavour at all: "I never said fig". Denied up to now, and so
there: "I haven't had leather in it till now".
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.denial import HARDLY, NAE, NOPE, NOR, NOT, ZERO
from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.cues import Cue
from voicedraft.read.descriptors.tag_features import governor
from voicedraft.read.descriptors.tokens import Token, Tokens
from voicedraft.types import INTENSITIES, Status

_NOT = NOT | {"nor", "without"}
ARTICLES = frozenset({"a", "an", "any", "the"})
_BECAUSE = frozenset({"because", "'cause", "cos"})
"""Not "since", which mostly tells the time."""
_BE = frozenset({"is", "'s", "was", "are", "were", "be", "'m", "ai"})
_WRONG = frozenset({"wrong", "mistaken"})
_ANY = (("either",), ("at", "all"), ("whatsoever",), ("whatever",), ("of", "any", "kind"))
"""Words that only stand under a denial: behind a name that "no" leads to they leave no doubt of it."""
TELLING = frozenset({
    "say", "tell", "swear", "think", "write", "claim", "promise", "expect", "believe", "sure", "certain",
})
IF = frozenset({"if", "unless", "until", "till", "when", "before", "whether"})
_TURNS = frozenset({
    "but", "well", "here", "wait", "now", "except", "until", "till", "yet", "scrap", "scratch", "though", "alone",
})
_TURNED = frozenset({("it", "is"), ("there", "is"), ("there", "'s"), ("yes", ","), ("or", "is"), ("oh", ",")})
"""Words behind a denial with which the sentence may take it back: "still isn't bitter, well, no, it is"."""
_DOUBTING = NOT | NOR | NOPE | NAE | HARDLY | ZERO | {
    "without", "none", "nothing", "nowhere", "cannot", "wrong", "gone", "missing", "absent", "lost", "left", "out",
    "less", "instead", "than", "rather", "but", "if", "whether", "or", "although", "though", "except", "off", "away",
    "only",
}
"""Words with which a clause, or what follows it, may say something else than that a flavour is there."""
_UNSURE = frozenset({
    "absent", "gone", "hypothetical", "wished", "offered", "other_cigar", "recalled", "turned_into", "corrected",
    "fading", "returned",
})
_GETTING = frozenset({"get", "have", "taste", "smell", "find", "pick", "detect", "notice", "catch"})
_WISHING = frozenset({"would", "could", "might", "may", "should", "do", "'d", "will", "'ll"})
_BEFORE = frozenset({"a", "an", "the", "any", "that", "this", "some", "of", "bit", "more"})
_SPEAKING = frozenset({"say", "mention", "write", "note", "expect", "anticipate", "predict"})
_EXPECTING = frozenset({"expect", "anticipate", "predict"})
"""What was not expected may well be there."""
_COMING = frozenset({"come", "arrive", "appear"})
_TILL = frozenset({"till", "until", "before"})
_NOW = frozenset({"now", "today", "here", "this"})
_REACH = 5
"""Words on either side in which a denial may turn another round, or the next sentence deny; our own choice."""


def denied_outright(row: Tokens, m: Mention, cues: Sequence[Cue]) -> bool:
    """Whether "no", "not" behind "it is" or a mark, or "wrong about" stands right before the name, and nothing turns it
    round ("no doubt cedar", "I can't say there's no cedar", "there's no cedar like this cedar")."""
    rows = row.rows
    begin, _ = row.bounds[rows[m.first].sentence]
    i = m.first - 1
    while i >= begin and rows[i].lower in ARTICLES:
        i -= 1
    if i < begin:
        return False
    before = [t.lower for t in rows[max(begin, i - _REACH) : i] if t.segment == rows[i].segment]
    if rows[i].lower == "about":
        return before[-1:] != [] and before[-1] in _WRONG and _NOT.isdisjoint(before)
    if rows[i].lower not in ("no", "not", "n't") or not _NOT.isdisjoint(before):
        return False
    if any(c.kind == "absent" and c.group == "exceptions" and c.first <= i <= c.last for c in cues):
        return False
    if rows[i].lower == "no" and m.last < len(rows) and rows[m.last].lower == "like":
        return False
    if rows[i].lower == "no":
        return rows[i].head == i or m.first <= rows[i].head < m.last
    return i == begin or rows[i - 1].punct or rows[i - 1].lower in _BE


def beyond_doubt(row: Tokens, m: Mention) -> bool:
    """Whether a denial right before the name stands: a word that only stands under one follows ("no farmyard either",
    "not cedar at all"), or no word of saying leads to it ("I did say no coffee") and the sentence does not turn."""
    rows = row.rows
    begin, end = row.bounds[rows[m.first].sentence]
    after = tuple(t.lower for t in rows[m.last : end])
    if any(after[: len(words)] == words for words in _ANY):
        return True
    before = rows[begin : m.first]
    told = any(t.lemma in TELLING or t.lower in IF for t in before) or rows[end - 1].text == "?"
    turned = not _TURNS.isdisjoint(after) or any(pair in _TURNED for pair in pairwise(after))
    return not told and not turned


def echoed(row: Tokens, mentions: Sequence[Mention], n: int, denied: Sequence[bool], cues: Sequence[Cue]) -> bool:
    """Whether the name only comes up again after its sentence denied it outright, and is not claimed anew: "it's not
    black pepper, black pepper only bites", "no salt, which is funny, because I've got salt on everything"."""
    m, sentence = mentions[n], row.rows[mentions[n].first].sentence
    same = [
        k for k in range(n - 1, -1, -1)
        if row.rows[mentions[k].first].sentence == sentence and set(mentions[k].key) == set(m.key)
    ]
    if not any(denied[k] for k in same):
        return False
    why = {t.lower for t in row.rows[mentions[same[0]].last : m.first]}
    told_why = not why.isdisjoint(_BECAUSE) and why.isdisjoint(_TURNS)
    return told_why or not _stated(row.rows, m, cues)


def only_spoken_of(row: Tokens, m: Mention, kind: Status) -> bool:
    """Whether it is what was not expected or not said: "I didn't expect treacle", "I never said fig"; not "I wouldn't
    say honey", which denies it. Or only wished for: "if only there were vanilla"."""
    first, _ = row.stretch(m.first, m.last)
    if ("if", "only") in pairwise(t.lower for t in row.rows[first : m.first]):
        return True
    verb, relation = governor(list(row.rows), m.last - 1)
    begin, _ = row.bounds[row.rows[m.first].sentence]
    denied = any(
        t.lower in _NOT and t.segment == verb.segment for t in row.rows[max(begin, verb.index - 3) : verb.index]
    )
    willing = any(row.rows[k].dep == "aux" and row.rows[k].tag == "MD" for k in verb.children)
    speaking = _SPEAKING if kind in ("absent", "gone") else _SPEAKING - _EXPECTING
    return denied and not willing and verb.lemma in speaking and relation in ("dobj", "obj", "ccomp", "oprd") and (
        verb.index < m.first and verb.segment == row.rows[m.first].segment
    )


def not_till_now(row: Tokens, m: Mention) -> bool:
    """"I haven't had leather in it till now": there it is."""
    words = [t.lower for t in row.rows[m.last : m.last + _REACH] if t.segment == row.rows[m.last - 1].segment]
    before = {t.lower for t in row.rows[max(m.first - _REACH, 0) : m.first]}
    return not _NOT.isdisjoint(before) and any(
        a in _TILL and b in _NOW for a, b in pairwise(words)
    )


def claimed(
    row: Tokens, mentions: Sequence[Mention], n: int, cues: Sequence[Cue], renamed: bool = False,
) -> bool:
    """Whether its own clause says that it is there, and no word up to the next flavour takes that back.

    renamed: whether the mention is the new name of another, so that words of correcting say nothing against it.
    """
    unsure = _UNSURE - {"corrected"} if renamed else _UNSURE
    rows, m = row.rows, mentions[n]
    sentence = rows[m.first].sentence
    end = row.bounds[sentence][1]
    first, last = row.stretch(m.first, m.last)
    if rows[end - 1].text == "?" or any(
        c.kind in unsure and c.group != "near" and c.first < last and c.last > first for c in cues
    ):
        return False
    following = next((o.first for o in mentions[n + 1 : n + 2] if o.first < end), end)
    stop = end if following == end else _own_denial(rows, max(following, m.last), m.last)
    if any(t.lower in _DOUBTING for t in [*rows[first : m.first], *rows[m.last : stop]]):
        return False
    if following == end and sentence + 1 < len(row.bounds):
        a, b = row.bounds[sentence + 1]
        if any(t.lower in _DOUBTING for t in rows[a : min(a + _REACH, b)]):
            return False
    return _stated(rows, m, cues) or _has_reason(rows, m, following, end)


def _has_reason(rows: Sequence[Token], m: Mention, following: int, end: int) -> bool:
    """"Straight espresso, because the cocoa's done": done is the other flavour, which is why this one is there."""
    i = m.last + (m.last < end and rows[m.last].text == ",")
    return i < following < end and rows[i].lower in _BECAUSE and all(
        t.lower in _BEFORE or t.pos in ("ADJ", "NOUN", "PROPN") for t in rows[i + 1 : following]
    )


def _own_denial(rows: Sequence[Token], following: int, last: int) -> int:
    """Where the words that lead to the next flavour begin: its own "no" or "not" is not this one's."""
    i = following
    while i - 1 >= last and (rows[i - 1].lower in _BEFORE or rows[i - 1].pos in ("ADJ", "NOUN")):
        i -= 1
    return i - 1 if i - 1 >= last and rows[i - 1].lower in _NOT else following


def _stated(rows: Sequence[Token], m: Mention, cues: Sequence[Cue]) -> bool:
    """Whether an amount leads to the name, or it is what one gets, or what there is or something is."""
    if any(c.kind in INTENSITIES and c.last == m.first for c in cues):
        return True
    verb, relation = governor(list(rows), m.last - 1)
    kids = [rows[k] for k in verb.children]
    if any(k.dep == "neg" for k in kids) or verb.segment != rows[m.first].segment:
        return False
    if verb.lemma in _COMING and relation in ("nsubj", "dobj", "attr"):
        return True
    if verb.lemma == "be" and relation in ("attr", "acomp", "nsubj"):
        return relation != "nsubj" or any(k.dep == "expl" for k in kids)
    return relation in ("dobj", "obj") and verb.lemma in _GETTING and any(
        k.dep == "nsubj" and k.lower in ("i", "we", "you", "it") for k in kids
    ) and not any(k.dep == "aux" and k.lower in _WISHING for k in kids)
