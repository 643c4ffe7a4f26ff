"""Turns the tagger's odds and the lexicon's matches into mentions: spans of tokens that may name a flavour."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import numpy as np
import numpy.typing as npt

from voicedraft.read.descriptors.context import Mention, mention_key
from voicedraft.read.descriptors.tokens import Token, Tokens

Floats = npt.NDArray[np.float32]
_NEVER = -99.0
_STEPS = np.array([[0.0, 0.0, _NEVER], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]])
"""Allowed label steps: outside, beginning, inside; inside never follows outside."""


def viterbi(scores: Floats) -> list[int]:
    """Best label sequence of one sentence; `scores` (n, 3) log-probabilities of outside, beginning, inside."""
    best = scores[0].astype(float).copy()
    best[2] = _NEVER
    back: list[npt.NDArray[np.intp]] = []
    for step in scores[1:]:
        table = best[:, None] + _STEPS
        back.append(table.argmax(axis=0))
        best = table.max(axis=0) + step
    path = [int(best.argmax())]
    for pointers in reversed(back):
        path.append(int(pointers[path[-1]]))
    return path[::-1]


def find_mentions(
    row: Tokens, scores: Floats, bias: float, classes: Mapping[str, str], of_heads: frozenset[str],
    carriers: frozenset[str], heads: Collection[str], amounts: Mapping[str, frozenset[str]],
) -> list[Mention]:
    """All mentions, in order, none overlapping.

    scores: (n, 3) the tagger's log-probabilities. bias: taken off the odds of "outside", so that doubtful words come
    through; the entry classifier decides about them.
    """
    odds = np.logaddexp(scores[:, 1], scores[:, 2]) - scores[:, 0]
    shifted = scores.copy()
    shifted[:, 1] += bias
    spans: list[tuple[int, int, str]] = []
    for (begin, end), active in zip(row.bounds, row.active(), strict=True):
        if active:
            for a, b in _runs(viterbi(shifted[begin:end])):
                spans.append((*_firm(row, odds, a + begin, b + begin), "tagger"))
    spans = _with_lexicon(row, spans)
    spans = _with_repeats(row, spans, odds)
    spans = [
        (*trim(row, *_grow(row, a, b, classes, of_heads, heads), classes, carriers, amounts), source)
        for a, b, source in spans
    ]
    spans = [(a, b, source) for a, b, source in spans if a < b and not _is_name(row, a, b)]
    return [
        Mention(a, b, mention_key(row, a, b), float(odds[a:b].max()), source)
        for a, b, source in _merged(row, spans) if mention_key(row, a, b)
    ]


def _runs(labels: Sequence[int]) -> list[tuple[int, int]]:
    out: list[tuple[int, int]] = []
    for i, label in enumerate(labels):
        if label == 1:
            out.append((i, i + 1))
        elif label == 2 and out:
            out[-1] = (out[-1][0], i + 1)
    return out


def _firm(row: Tokens, odds: Floats, first: int, last: int) -> tuple[int, int]:
    """The span without outer words that only came through by the bias, as long as one word stays."""
    while last - first > 1 and odds[last - 1] < 0 and odds[last - 1] < odds[first:last - 1].max():
        last -= 1
    while last - first > 1 and odds[first] < 0 and odds[first] < odds[first + 1 : last].max():
        first += 1
    return first, last


def _with_lexicon(row: Tokens, spans: list[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    """Lexicon matches join the spans that they touch, and stand for themselves elsewhere."""
    found: dict[int, int] = {}
    for (begin, end), active in zip(row.bounds, row.active(), strict=True):
        for mark in row.lexical[begin:end] if active else ():
            if mark is not None:
                found[mark[0].first] = mark[0].last
    return spans + [(a, b, "lexicon") for a, b in found.items()]


def _with_repeats(row: Tokens, spans: list[tuple[int, int, str]], odds: Floats) -> list[tuple[int, int, str]]:
    """Further places of words that were taken for a flavour somewhere in the session."""
    known: dict[tuple[str, ...], int] = {}
    covered: set[int] = set()
    for a, b, _ in spans:
        covered.update(range(a, b))
        if float(odds[a:b].max()) > 0.0:
            known[tuple(t.lemma for t in row.rows[a:b])] = 1
    out = list(spans)
    longest = max((len(k) for k in known), default=0)
    starts = {k[0] for k in known}
    for (begin, end), active in zip(row.bounds, row.active(), strict=True):
        for i in range(begin, end) if active else ():
            if row.rows[i].lemma not in starts:
                continue
            for n in range(min(longest, end - i), 0, -1):
                if tuple(t.lemma for t in row.rows[i : i + n]) in known and not covered & set(range(i, i + n)):
                    out.append((i, i + n, "repeat"))
                    covered.update(range(i, i + n))
                    break
    return out


def _grow(
    row: Tokens, first: int, last: int, classes: Mapping[str, str], of_heads: frozenset[str], heads: Collection[str]
) -> tuple[int, int]:
    """The span with its kept modifiers, both halves of hyphenated words, and "crust of" before it."""
    rows = row.rows
    begin, end = row.bounds[rows[first].sentence]
    moved = True
    while moved:
        moved = False
        if first - 2 >= begin and rows[first - 1].text == "-":
            first, moved = first - 2, True
        elif last + 1 < end and rows[last].text == "-":
            last, moved = last + 2, True
        elif last < end and _carries(rows, last, first, classes) and rows[last].lemma in heads:
            last, moved = last + 1, True
        elif (end_of_thing := _owned(row, first, last, end)) > last:
            last, moved = end_of_thing, True
        elif first - 1 >= begin and _belongs(rows, first - 1, first, last, classes):
            first, moved = first - 1, True
        elif first - 2 >= begin and rows[first - 1].lower == "of" and rows[first - 2].lower in of_heads:
            first, moved = first - 2, True
        elif (first - 3 >= begin and rows[first - 2].lower == "of" and rows[first - 1].dep == "det"
              and rows[first - 3].lower in of_heads):
            first, moved = first - 3, True
    return first, last


def _carries(rows: Sequence[Token], i: int, first: int, classes: Mapping[str, str]) -> bool:
    """Whether noun `i`, right behind the span, is the head that the span only describes: "hawthorn blossom"."""
    return (rows[i].pos == "NOUN" and rows[i - 1].dep in ("compound", "amod", "nmod") and rows[i - 1].head == i
            and rows[i - 1].index >= first and classes.get(rows[i].lower) != "drop")


_THINGS = frozenset({"NOUN", "PROPN", "ADJ", "NUM", "ADV", "VERB"})
"""What may begin the thing that belongs to somebody."""


def _owned(row: Tokens, first: int, last: int, end: int) -> int:
    """Where the thing ends that belongs to the span, a maker or place that is no flavour itself: "a bookbinder's glue",
    "it smells of a haberdasher's"; not "the leather's edge". 0 where there is none."""
    rows, at = row.rows, last - 1 if row.rows[last - 1].tag == "POS" else last
    if not first < at < end or rows[at].tag != "POS" or any(row.lexical[i] is not None for i in range(first, at)):
        return 0
    if at + 1 == end or rows[at + 1].pos not in _THINGS:
        return at + 1
    thing = rows[at - 1].head
    near = at < thing <= at + 2 and rows[thing].pos == "NOUN"
    return thing + 1 if near and rows[at - 1].dep == "poss" else 0


def _belongs(rows: Sequence[Token], i: int, first: int, last: int, classes: Mapping[str, str]) -> bool:
    """Whether word `i`, right before the span, is a modifier of it that is part of the name."""
    t = rows[i]
    if not first <= t.head < last or classes.get(t.lower) == "drop":
        return False
    return t.dep == "compound" or (t.dep in ("amod", "nmod") and classes.get(t.lower) == "keep")


_LEAD_OUT = frozenset({"DET", "PRON", "ADP", "CCONJ", "SCONJ", "AUX", "PART", "PUNCT", "INTJ", "NUM"})
_TAIL_OUT = _LEAD_OUT | {"ADV", "VERB", "SPACE"}
_NEVER_IN = frozenset({
    "no", "not", "zero", "nil", "none", "minus", "nor", "neither", "something", "anything", "nothing", "word", "lotta",
    "whole", "comma", "colon", "gone", "back", "there", "here", "again", "too", "also", "now", "still", "scratch",
    "strike", "turned", "become", "became",
})


def trim(
    row: Tokens, first: int, last: int, classes: Mapping[str, str], carriers: frozenset[str],
    amounts: Mapping[str, frozenset[str]],
) -> tuple[int, int]:
    """The span without the words around the name: "no", "a lot of" before it, "note", "gone" after it.

    amounts: words that tell how much ("strong cedar") but before the nouns named ("light roast").

    Words of a lexicon form stay. An empty span means that nothing was a name.
    """
    rows = row.rows

    def fixed(i: int) -> bool:
        mark = row.lexical[i]
        return mark is not None and mark[0].first >= first and mark[0].last <= last

    def amount(i: int) -> bool:
        behind = " ".join(t.lower for t in rows[i + 1 : last])
        return rows[i].lower in amounts and not any(behind.startswith(n) for n in amounts[rows[i].lower])

    while first < last and not fixed(first) and (
        rows[first].pos in _LEAD_OUT or rows[first].lower in _NEVER_IN
        or ((classes.get(rows[first].lower) == "drop" or amount(first)) and last - first > 1)
        or (rows[first].pos == "VERB" and rows[first].tag not in ("VBN", "VBD", "VBG") and last - first > 1)
    ):
        first += 1
    place = last - 1 > first and rows[last - 1].tag == "POS" and row.lexical[last - 2] is None
    place = place and (last == len(rows) or rows[last].pos not in _THINGS)
    while first < last and not place and not fixed(last - 1) and (
        rows[last - 1].pos in _TAIL_OUT - {"VERB"} or rows[last - 1].lower in _NEVER_IN
        or (last - first > 1 and (rows[last - 1].pos == "VERB" or rows[last - 1].lower in carriers))
    ):
        last -= 1
    return first, last


def _is_name(row: Tokens, first: int, last: int) -> bool:
    """Whether the span is a person's or firm's name: all words written large within a sentence, none listed."""
    begin, _ = row.bounds[row.rows[first].sentence]
    if any(row.lexical[i] is not None for i in range(first, last)):
        return False
    large = all(row.rows[i].text[:1].isupper() for i in range(first, last))
    return large and first > begin and row.rows[first - 1].text not in ":-."


def _merged(row: Tokens, spans: Sequence[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    """Overlapping spans become one."""
    out: list[tuple[int, int, str]] = []
    for a, b, source in sorted(spans):
        if out and a < out[-1][1]:
            first, last, kind = out[-1]
            out[-1] = (first, max(last, b), "lexicon" if "lexicon" in (kind, source) else kind)
        else:
            out.append((a, b, source))
    return out


def late_modifier(row: Tokens, last: int, late: Collection[str]) -> int:
    """Tokens behind a name that ends at `last` up to a modifier said late ("pepper, white"; "Pepper. Black, and …").

    late: the colours and ways of cooking that are part of a flavour's name. 0 where there is none. The modifier must
    stand alone between marks, or before "and" or "one".
    """
    rows = row.rows
    if last + 1 >= len(rows) or rows[last].text not in {",", "."} or rows[last + 1].lower not in late:
        return 0
    mark = row.lexical[last + 1]
    if mark is not None and mark[0].form.kind == "term" and rows[last].text == ",":
        return 0
    if last + 2 >= len(rows):
        return 2
    behind = rows[last + 2]
    ends = behind.sentence != rows[last + 1].sentence
    return 2 if ends or behind.punct or behind.lower in {"and", "one", "ones"} else 0
