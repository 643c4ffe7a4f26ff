"""Rule: the words of a sentence that name a part of the cigar: "the binder", "inside", "under that"."""

from __future__ import annotations

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.shared import PARTS
from voicedraft.read.facts.small_words import BEING
from voicedraft.read.numbers.phrases import Hit

_NAMED_PARTS = frozenset({
    "wrapper", "wrappers", "binder", "binders", "filler", "fillers", "outside", "inside", "filling",
    "coat", "capa", "capote", "tripa",
})
"""Words for a part that mean the leaf in any talk; the other words do so only where the blend is told."""
_PLACES = frozenset({
    "on it", "around it", "round it", "under it", "beneath it", "beneath", "underneath", "in there", "between",
    "in between", "within", "under there", "on the surface",
})
"""Words for a place, which name a part only where a leaf stands in their clause: "the volcano on it" names none."""


_PRINTED = frozenset({"stands", "stood", "says", "said", "reads", "written", "printed", "stamped"})


def part_words(line: Line) -> list[tuple[int, int, str]]:
    """(first, last, part) of the words that name a part, in order, the longest where they overlap."""
    found = [(h.first, h.last, part) for part in PARTS for h in line.find(f"leaf.{part}")]
    if line.section != "background":
        found = [c for c in found if line.tokens[c[0]].text in _NAMED_PARTS]
    found = _headings(line, found)
    struck = [(h.first, h.last) for h in line.find("leaf.crossed_out")]
    found = [c for c in found if not any(a <= c[0] < b for a, b in struck)]
    found = [c for c in found if not _mere_place(line, *c[:2])]
    found.sort(key=lambda c: (c[0], -c[1]))
    out: list[tuple[int, int, str]] = []
    for cue in found:
        if not out or cue[0] >= out[-1][1]:
            out.append(cue)
    return out


def named_for_another(line: Line, part: str) -> bool:
    """Whether the sentence names other parts and neither this one nor the rest of the blend: what was learned alone
    makes no filler of "the wrapper is Nicaraguan"."""
    named = {found for *_, found in part_words(line)}
    return bool(named) and part not in named and not any(line.has(path) for path in _REST)


_REST = ("leaf.more", "leaf.under", "leaf.whole")


def coming(line: Line) -> list[Hit[str]]:
    """"The wrapper's a Habano, and it comes out of Jalapa": words of coming from a place that tell of the part just
    named, or, in a sentence of its own, of what the one before told of."""
    parts = [last for part in PARTS for last in (h.last for h in line.find(f"leaf.{part}"))]
    found = line.find("country.coming")
    opening = [h for h in found if h.first == 0]
    return opening or [h for h in found if any(last <= h.first for last in parts)]


def told_of_making(line: Line, first: int) -> bool:
    """Whether words of making stand before token `first` and no part is named: "Rolled in the Dominican Republic"."""
    return any(h.last <= first for h in _making(line)) and not part_words(line)


def only_of_leaf(line: Line) -> bool:
    """Whether the only words of making tell where a leaf comes from: "the wrapper comes out of Jalapa"."""
    return bool(coming(line)) and not _making(line)


def of_a_part(line: Line, i: int) -> bool:
    """Whether token `i` is told of a part in a clause of its own: "made in Nicaragua, and the wrapper is Cameroon"."""
    start, end = line.clause(i)
    part = any(start <= first < i for first, _, _ in part_words(line))
    return part and not any(start <= h.first < end for h in _making(line))


def _making(line: Line) -> list[Hit[str]]:
    of_leaf = {h.first for h in coming(line) if h.first > 0}
    return [h for h in line.find("country.made") if h.first not in of_leaf]


def _has_object(line: Line, i: int) -> bool:
    """"Underneath the box it's printed": a preposition with a thing of its own, which is neither leaf nor cigar."""
    words = [t.text for t in line.tokens[i : i + 2]]
    if len(words) < 2 or words[0] not in _DETERMINERS or words[1] in _OF_THE_CIGAR:
        return False
    return line.words.leaves.at(line.tokens, i + 1) is None and not line.tokens[i].breaks


_PREPOSITIONS = frozenset({"underneath", "beneath", "inside", "within", "outside"})
_DETERMINERS = frozenset({"the", "a", "my", "this", "that", "its"})
_OF_THE_CIGAR = frozenset({
    "cigar", "stick", "smoke", "thing", "one", "wrapper", "binder", "leaf", "coat", "skin", "there",
})


def _headings(line: Line, found: list[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    """"Under wrapper I have Brazilian, and under binder, Nicaraguan": headings of a form, told one after the other, and
    not what lies under the wrapper."""
    under = [i for i, t in enumerate(line.tokens[:-1]) if t.text == "under" and line.tokens[i + 1].text in PARTS]
    if len(under) < _TWO:
        return found
    return [
        (first + 1, last, line.tokens[first + 1].text) if first in under and line.tokens[first + 1].text in PARTS
        else (first, last, part) for first, last, part in found
    ]


_TWO = 2


def _of_the_part(line: Line, first: int) -> bool:
    """"The binder they put on it is Honduran": the place belongs to the part just named, which is told of after it."""
    start, end = line.clause(first)
    named = [i for i in range(start, first) if line.tokens[i].text in PARTS]
    if not named or not line.words.leaves.any(line.tokens, first, end):
        return False
    between = {t.text for t in line.tokens[named[-1] + 1 : first]}
    joined = BEING | {"and", "or", "with", "has", "have", "plus", "goes", "but"}
    return not joined & between and not line.words.leaves.any(line.tokens, named[-1], first)


def _mere_place(line: Line, first: int, last: int) -> bool:
    """"The island with the volcano on it", "I turned the box over and underneath stands Nicaragua"."""
    said = " ".join(t.text for t in line.tokens[first:last])
    if said in _PREPOSITIONS and _has_object(line, last):
        return True
    if said not in _PLACES:
        return False
    if _of_the_part(line, first):
        return True
    after = {t.text for t in line.tokens[last : last + 2]}
    if line.has("country.made", 0, first) and _PRINTED & after:
        return True
    start, end = line.clause(first)
    before = {t.text for t in line.tokens[start:first]}
    relative = bool({"which", "who", "where"} & before)
    shown = "with" in before and not line.words.leaves.any(line.tokens, start, first)
    return shown or (relative and not line.words.leaves.any(line.tokens, start, end))
