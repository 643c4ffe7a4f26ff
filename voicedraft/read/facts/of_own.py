"""Small clauses that count by themselves: "out twice", "the one touch-up's two", "ash dropped three times".

A clause without a verb of its own that says "out" and how often is the count of goings-out; a number that follows the
act's own name with "is" or "makes" is the act's; a number in a clause that has another noun for its subject is not.
"""

from __future__ import annotations

from voicedraft.read.facts.acts import tagged
from voicedraft.read.facts.context import Line
from voicedraft.read.facts.often import how_often, small
from voicedraft.read.facts.tally import Told
from voicedraft.read.numbers import Number
from voicedraft.read.numbers.phrases import Hit

_NEVER = frozenset({"never", "not"})
_ONCE = frozenset({"once", "at", "a", "any", "yet"})
"""What may follow the denial; "not two minutes later" denies nothing."""
_LINKS = frozenset({"'s", "is", "makes", "becomes", "are", "make", "goes"})
_BEHIND = 4
"""Tokens after a going-out within which a denial behind it stands; our own choice, no outside source."""


def out_so_often(line: Line) -> Told | None:
    """"Out twice, and the match to the side of it the once": goings-out counted by a clause without a verb.

    Not "out twice with the dog" or "for firewood", which is the speaker, nor "out twice, you'd think".
    """
    if line.section != "burn" or line.asks:
        return None
    for i, token in enumerate(line.tokens):
        start, end = line.clause(i)
        if token.text != "out" or i != start or line.other[i]:
            continue
        times = how_often(line, i + 1, min(end, i + 4))
        if times is None and i + 4 >= len(line.tokens):
            times = how_often(line, i + 1, len(line.tokens))
        ends = times is not None and (times.last >= end or line.tokens[times.last].text == "and")
        if times is None or not ends or line.has("count.other_fires", 0, i) or _SUPPOSING & line.vocabulary:
            continue
        if times.first <= i + 2 and not _has_verb(line, start, times.last):
            return Told(times.value, i, times.last, "count")
    return None


_SUPPOSING = frozenset({"you'd", "would", "'d", "think", "thought", "other", "neighbour's", "last"})


def flames_alone(line: Line) -> list[Hit[str]]:
    """"A second match, there", "another match, 7:58", "one more match, on the seam": a further flame, in so many words.

    Only where a clause opens with it and has no verb: "the second match did it" tells of the match, and "since the
    second match" of the time. A sentence that lights or went out is left to the lightings.
    """
    if line.section != "burn" or line.asks or any(line.has(path) for path in (*_RELIGHTS, "count.other_fires")):
        return []
    out: list[Hit[str]] = []
    for i, token in enumerate(line.tokens):
        start, end = line.clause(i)
        before = [t.text for t in line.tokens[start:i]]
        if token.text not in _FLAMES or before not in _FURTHER or _has_verb(line, start, end):
            continue
        if not _LIGHTING & line.vocabulary:
            out.append(Hit(_FLAME, start, i + 1))
    return out


_NTH = {"second": 2, "third": 3, "fourth": 4, "fifth": 5}
_FLAME = "a further flame"
_FLAMES = frozenset({"match", "flame"})
"""What is used up at each flame: "another lighter" may be a new one."""
_RELIGHTS = ("relight.out", "relight.again", "relight.noun")
_FURTHER = (
    *([*article, word] for word in _NTH for article in ([], ["a"], ["and", "a"])),
    ["another"], ["and", "another"], ["one", "more"], ["and", "one", "more"], ["again", "a"],
)
_LIGHTING = frozenset({
    "lit", "light", "lights", "lighting", "foot", "toasted", "toast", "caught", "took", "glow", "glowing",
})
"""Words of a sentence in which a further match may still be for the first lighting."""


def _has_verb(line: Line, first: int, last: int) -> bool:
    return any(tagged(line, i) in ("VERB", "AUX") for i in range(first, last))


def of_another_thing(line: Line, number: Number, after: int) -> bool:
    """"two touch-ups, ash dropped three times": the number's clause opens with a noun of its own and its verb."""
    start, _ = line.clause(number.first)
    opening = [k for k in range(start, number.first) if tagged(line, k) in ("NOUN", "PROPN")][:1]
    named = bool(opening) and opening[0] <= start + 2
    times = number.last < len(line.tokens) and line.tokens[number.last].text in ("time", "times")
    return start >= after and named and times and _has_verb(line, start, number.first)


def sum_of_it(line: Line, hit: Hit[str], first: int, last: int) -> Told | None:
    """"So that one touch-up's two", "a second match, there": what the act has come to, said of or in its own name."""
    nth = [_NTH[t.text] for t in line.tokens[hit.first : hit.last] if t.text in _NTH]
    if nth and hit.value == _FLAME:
        return Told(nth[0], hit.first, hit.last, "running")
    link = line.tokens[hit.last].text if hit.last < len(line.tokens) and not line.tokens[hit.last].breaks else ""
    if link not in _LINKS or line.denied(hit.last):
        return None
    for number in line.quantities.numbers:
        closes = number.last == len(line.tokens) or line.tokens[number.last].breaks
        if number.first == hit.last + 1 and closes and small(line, number) and not number.ordinal:
            return Told(int(number.value), hit.first, number.last, "running")
    return None


def denied_behind(line: Line, hit: Hit[str]) -> bool:
    """"Gone out he is never", "went out, it did not": the denial stands behind, in the clause of the going-out."""
    _, end = line.clause(hit.first)
    words = line.tokens[hit.last : min(end, hit.last + _BEHIND)]
    opens = hit.first == line.clause(hit.first)[0] or line.tokens[hit.first - 1].text in ("and", "but")
    return opens and any(
        t.text in _NEVER and (t is words[-1] or words[k + 1].breaks or words[k + 1].text in _ONCE)
        for k, t in enumerate(words)
    )
