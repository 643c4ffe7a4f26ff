"""Rule: a country's word that is no leaf: "the Nicaraguan flag", "a map of Honduras", "my wife is Dominican".

It goes with a noun that no leaf is called by, names a person, or tells of another blend. No rule and no learned
odds make such a word a leaf of this cigar.
"""

from __future__ import annotations

from bisect import bisect_right
from functools import lru_cache

from voicedraft.read.facts.acts import tagged
from voicedraft.read.facts.context import Line, Words
from voicedraft.read.facts.shared import PARTS
from voicedraft.read.facts.small_words import BEING, SPEAKER
from voicedraft.read.facts.subject import clauses

_BEING = BEING | {"were"}
_SMALL = frozenset({"a", "an", "the", "from", "half", "also", "all", "of"})
_MODIFIES = frozenset({"amod", "compound", "nmod", "poss"})


def no_leaf(line: Line, first: int, last: int) -> bool:
    """Whether the country, place or seed at tokens `[first, last)` is said of something that is no leaf."""
    return (
        (_describes(line, last) and not _predicate(line, first)) or _pictured(line, first)
        or _person(line, first, last) or _own_doing(line, first) or _of_another_blend(line, first)
    )


def leaf_nouns(line: Line) -> frozenset[str]:
    """Words that a leaf or a part of the cigar is called by."""
    return _nouns(line.words)


@lru_cache(maxsize=4)
def _nouns(words: Words) -> frozenset[str]:
    parts = {word for part in PARTS for word in words.listed(f"leaf.{part}") if " " not in word}
    return frozenset(parts | set(words.listed("leaf.nouns")))


def mixed(line: Line) -> bool:
    """"Three countries", "a mixture"; "two flags on the lid" are no leaves."""
    return any(
        h.last >= len(line.tokens) or tagged(line, h.last) != "NOUN" or line.tokens[h.last].breaks
        or line.tokens[h.last].text in leaf_nouns(line) or line.tokens[h.last].text in ("countries", "places", "lands")
        for h in line.find("leaf.mix")
    )


def _describes(line: Line, last: int) -> bool:
    """"the Nicaraguan flag", "Honduran coffee": the word goes with a noun after it that no leaf is called by."""
    if line.doc is None or last >= len(line.tokens) or line.tokens[last].breaks:
        return False
    word = line.doc[max(0, bisect_right(line.starts, line.tokens[last - 1].start) - 1)]
    noun = word.head
    if noun.i <= word.i or noun.pos_ != "NOUN" or word.dep_ not in _MODIFIES:
        return False
    at = next((i for i in range(last, len(line.tokens)) if line.tokens[i].start == noun.idx), None)
    if at is None or any(t.breaks for t in line.tokens[last : at + 1]):
        return False
    known = leaf_nouns(line)
    between = {t.text for t in line.tokens[last : at + 1]} | {noun.lemma_.lower()}
    return not known & between and not line.words.leaves.any(line.tokens, last, at + 1)


def _predicate(line: Line, first: int) -> bool:
    """"The wrapper is a Mexican marvel": what a part is said to be is its leaf, whatever the noun."""
    start, _ = line.clause(first)
    for part in PARTS:
        for hit in line.find(f"leaf.{part}", start, first):
            words = [t.text for t in line.tokens[hit.last : first]]
            if words and words[0] in _BEING and set(words[1:]) <= _SMALL | {"off", "out"}:
                return True
    return False


def _pictured(line: Line, first: int) -> bool:
    """"A map of Honduras", "we went to the Dominican Republic"."""
    hits = line.find("leaf.pictured", 0, first)
    return bool(hits) and [t.text for t in line.tokens[hits[-1].last : first]] in ([], ["the"])


def _person(line: Line, first: int, last: int) -> bool:
    """"My wife is Dominican", "the Honduran who rolls them"."""
    if _somebody(line, last):
        return True
    if _possessed(line, first):
        return True
    for path in ("price.people", "leaf.people"):
        for hit in line.find(path, 0, first):
            words = [t.text for t in line.tokens[hit.last : first]]
            if hit.value.endswith("'s"):
                words = ["'s", *words]
            if words and words[0] in _BEING and set(words[1:]) <= _SMALL:
                return True
    return False


def _possessed(line: Line, first: int) -> bool:
    """"My tea is Peruvian": a thing of somebody's that no leaf is called by, and right after it what it is."""
    start, _ = line.clause(first)
    for i in range(start, first - 2):
        if line.tokens[i].text in _OWNED and line.tokens[i + 1].text not in leaf_nouns(line):
            after = [t.text for t in line.tokens[i + 2 : first]]
            if after[0] in _BEING and set(after[1:]) <= _SMALL and tagged(line, i + 1) == "NOUN":
                return True
    return False


_OWNED = frozenset({"my", "his", "her", "our"})


def _somebody(line: Line, last: int) -> bool:
    return [t.text for t in line.tokens[last : last + 1]] == ["who"]


def tells_of_people(line: Line) -> bool:
    """"The Nicaraguan who rolls them is from Jalapa": a country's word right before "who"."""
    return "who" in line.vocabulary and any(_somebody(line, hit.last) for hit in line.words.leaves.find(line.tokens))


def _own_doing(line: Line, first: int) -> bool:
    """"and I've smoked two from Nicaragua today": the speaker's own doings, where the clause names no leaf."""
    start, end = line.clause(first)
    before = {t.text for t in line.tokens[start:first]}
    if not (before & SPEAKER and before & _DOINGS):
        return False
    return leaf_nouns(line).isdisjoint(t.text for t in line.tokens[start:end])


_DOINGS = frozenset({
    "smoked", "bought", "visited", "drove", "lived", "flew", "stayed", "met", "drank", "ate", "worked", "went",
    "travelled",
})


def _of_another_blend(line: Line, first: int) -> bool:
    """"The filler used to have Peruvian in it", "the filler of their other line": another blend than this cigar's."""
    return any(line.has("leaf.another_blend", a, b) for a, b in clauses(line) if a <= first < b)
