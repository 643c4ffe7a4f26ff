"""Turns the tagger's odds and the lexicon's matches into mentions: spans of tokens that may name a flavour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

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
    row: Tokens, scores: Floats, bias: float, classes: Mapping[str, str], of_heads: frozenset[str]
) -> list[Mention]:
    """All mentions, in order, none overlapping.

    scores: (n, 3) the tagger's log-probabilities. bias: taken off the odds of "outside", so that doubtful words come
    through; the entry classifier decides about them.
    """
    odds = np.logaddexp(scores[:, 1], scores[:, 2]) - scores[:, 0]
    shifted = scores.copy()
    shifted[:, 1] += bias
    spans: list[tuple[int, int, str]] = []
    for begin, end in row.bounds:
        if end > begin:
            spans += [(a + begin, b + begin, "tagger") for a, b in _runs(viterbi(shifted[begin:end]))]
    spans = _with_lexicon(row, spans)
    spans = _with_repeats(row, spans, odds)
    spans = [(*_grow(row, a, b, classes, of_heads), source) for a, b, source in spans]
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


def _with_lexicon(row: Tokens, spans: list[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    """Lexicon matches join the spans that they touch, and stand for themselves elsewhere."""
    found: dict[int, int] = {}
    for mark in row.lexical:
        if mark is not None:
            found[mark[0].first] = mark[0].last
    return spans + [(a, b, "lexicon") for a, b in found.items()]


def _with_repeats(row: Tokens, spans: list[tuple[int, int, str]], odds: Floats) -> list[tuple[int, int, str]]:
    """Further places of words that were taken for a flavour somewhere in the session."""
    known: dict[tuple[str, ...], int] = {}
    covered = set()
    for a, b, _ in spans:
        covered.update(range(a, b))
        if float(odds[a:b].max()) > 0.0:
            known[tuple(t.lemma for t in row.rows[a:b])] = 1
    out = list(spans)
    longest = max((len(k) for k in known), default=0)
    for begin, end in row.bounds:
        for i in range(begin, end):
            for n in range(min(longest, end - i), 0, -1):
                if tuple(t.lemma for t in row.rows[i : i + n]) in known and not covered & set(range(i, i + n)):
                    out.append((i, i + n, "repeat"))
                    covered.update(range(i, i + n))
                    break
    return out


def _grow(
    row: Tokens, first: int, last: int, classes: Mapping[str, str], of_heads: frozenset[str]
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
        elif first - 1 >= begin and _belongs(rows, first - 1, first, last, classes):
            first, moved = first - 1, True
        elif first - 2 >= begin and rows[first - 1].lower == "of" and rows[first - 2].lower in of_heads:
            first, moved = first - 2, True
        elif (first - 3 >= begin and rows[first - 2].lower == "of" and rows[first - 1].dep == "det"
              and rows[first - 3].lower in of_heads):
            first, moved = first - 3, True
    return first, last


def _belongs(rows: Sequence[Token], i: int, first: int, last: int, classes: Mapping[str, str]) -> bool:
    """Whether word `i`, right before the span, is a modifier of it that is part of the name."""
    t = rows[i]
    if not first <= t.head < last or classes.get(t.lower) == "drop":
        return False
    return t.dep == "compound" or (t.dep in ("amod", "nmod") and classes.get(t.lower) == "keep")


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
