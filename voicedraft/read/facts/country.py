"""Country of the factory: a country told with "rolled in", "made in", "the factory is in"."""

from __future__ import annotations

from dataclasses import replace

from voicedraft.read.facts.claims import HEAVY, Claim
from voicedraft.read.facts.concluded import concludes
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.leaves import Name
from voicedraft.read.facts.made_else import made_else
from voicedraft.read.facts.not_leaf import tells_of_people
from voicedraft.read.facts.part_words import coming, part_words
from voicedraft.read.numbers.phrases import Hit

_REACH = 9
"""Tokens between the word for making and the country."""


def read_country(session: Session) -> list[Claim]:
    """Claims "country": the name of the country as in the lexicon."""
    out: list[Claim] = []
    for line in session.lines:
        if line.section in ("background", "appearance", "value", "verdict", "aside"):
            found = _line(session, line) or _reply(session, line, out)
            out += [found] if found else []
    return out


def _countries(line: Line) -> list[Hit[Name]]:
    hits = [h for h in line.words.leaves.find(line.tokens) if h.value.kind in ("country", "region") and h.value.country]
    return [h for h in hits if line.tokens[h.first].printed[:1].isupper() and not line.other[h.first]]


def _line(session: Session, line: Line) -> Claim | None:
    of_leaf = {h.first for h in coming(line) if h.first > 0 or _of_leaf_before(session, line)}
    cues = [h for h in line.find("country.made") if h.first not in of_leaf]
    if line.tokens[0].text == "country" and len(line.tokens) > 1 and line.tokens[1].breaks:
        cues = [Hit("country", 0, 1), *cues]
    cues = [h for h in cues if not made_else(line, h.first, h.last)]
    places = [] if tells_of_people(line) else _countries(line)
    turn = line.turn
    if turn is not None and places and places[-1].first > turn:
        places = [h for h in places if h.first > turn]
    if not cues or not places:
        return None
    chosen: Hit[Name] | None = None
    for hit in places:
        if hit.first > cues[0].first and concludes(line, hit.first, hit.last):
            chosen = hit
            break
        if _after(line, hit, cues, chosen) or (chosen is None and _before(line, hit, cues)):
            chosen = hit
    return _claim(session, line, chosen) if chosen else None


def _of_leaf_before(session: Session, line: Line) -> bool:
    """"The binder is Honduran. It comes from Jamastrán.": a region of the country that a leaf was given just before."""
    places = _countries(line)[:1]
    before = session.lines[line.index - 1] if line.index else None
    if before is None or not places or places[0].value.kind != "region" or not part_words(before):
        return False
    return any(h.value.country == places[0].value.country for h in _countries(before))


def _after(line: Line, hit: Hit[Name], cues: list[Hit[str]], chosen: Hit[Name] | None) -> bool:
    """The first country after the word for making, or a later one after "no"."""
    start = [c for c in cues if c.last <= hit.first]
    if not start or line.denied(hit.first):
        return False
    begin = start[-1].last
    if line.turn is None and line.has("country.unsure", max(0, begin - 4), hit.first):
        return False
    if _leaf_part(line, begin, hit) or line.has("country.sold", begin, hit.first):
        return False
    if chosen is not None and chosen.first >= begin and not line.corrected(chosen.last, hit.first):
        return chosen.value.kind != "country" and hit.value.kind == "country"
    if chosen is not None and chosen.first >= begin:
        return True
    turned = line.turn is not None and hit.first > line.turn
    return hit.first - begin <= _REACH or turned or line.corrected(begin, hit.first)


def _leaf_part(line: Line, begin: int, hit: Hit[Name]) -> bool:
    """Between the word for making and the country, or right after it, a part of the leaf is named."""
    parts = ("leaf.wrapper", "leaf.binder", "leaf.filler")
    end = min(hit.last + 2, len(line.tokens))
    following = any(
        h.first <= hit.last + 1 and not any(t.breaks for t in line.tokens[hit.last : h.first + 1])
        for p in parts for h in line.find(p, hit.last, end)
    )
    return following or any(line.has(p, begin, hit.first) for p in parts)


_SOON = 5
"""Token up to which a sentence that takes a country back names the right one."""
_SMALL = frozenset({"for", "the", "hand", "as", "is", "where", "they"})
_WHERE = frozenset({"that", "'s", "where", "it", "is", "they", "'re", "was", "are", "them", "these", "she", "he"})
"""Small words of "Honduras, that's where it's put together"."""


def _before(line: Line, hit: Hit[Name], cues: list[Hit[str]]) -> bool:
    """"Dominican made", "says Honduras, made by hand", "Costa Rica for the factory"."""
    for cue in cues:
        between = line.tokens[hit.last : cue.first]
        close = cue.first >= hit.last and len(between) <= 2
        if close and {t.text for t in between} <= _SMALL and not line.denied(hit.first):
            return not line.has("country.unsure", 0, hit.first)
        words = {t.text for t in between}
        if "where" in words and words <= _WHERE and not line.denied(hit.first):
            return not line.has("country.unsure", 0, hit.first)
    return False


def _reply(session: Session, line: Line, told: list[Claim]) -> Claim | None:
    """"No, wrong, Nicaragua": a sentence that takes back the country told just before."""
    if not told or told[-1].line != line.index - 1 or not _withdrawn(line) or line.asks or part_words(line):
        return None
    places = [
        h for h in _countries(line)
        if h.value.kind == "country" and not line.denied(h.first, 1) and h.value.country != told[-1].value
        and {t.text for t in line.tokens[line.clause(h.first)[0] : h.first]} <= _REPLYING
    ]
    if not places or places[0].first > _SOON:
        return None
    claim = _claim(session, line, places[0])
    return replace(claim, weight=claim.weight + HEAVY, instead=True)


_REPLYING = frozenset({
    "no", "nope", "wait", "sorry", "wrong", "actually", "it", "it's", "is", "'s", "they", "they're", "'re", "are",
    "was", "i", "mean", "make", "that", "from", "in", "the", "made", "rolled", "but", "this", "one", "them", "rather",
    "or", "not", "be", "should", "says", "said", "of", "as", "course", "well", "oh",
})
"""Words before a country in a clause that only puts it right: "no, it's Nicaragua"; "we're going to Mexico" is none."""


def _withdrawn(line: Line) -> bool:
    opening = min(3, len(line.tokens))
    bids = [h.first for h in line.find("country.withdrawn", 0, opening)]
    spoken = [t.text for t in line.tokens[: bids[0]]] if bids else []
    return line.corrected(0, opening) or (bool(bids) and not {"i", "we", "always", "never"} & set(spoken))


def _claim(session: Session, line: Line, hit: Hit[Name]) -> Claim:
    first, last = line.span(hit.first, hit.last)
    return Claim(
        "country", hit.value.country, line.index, first, last, "country after a word for making",
        weight=int(hit.value.kind == "country"), guessed=session.guessing(line) or line.has("leaf.guess"),
    )
