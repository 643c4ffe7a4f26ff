"""What the encoder learns of numbers, names and drinks: which fact or mark each is, what tells of an act, and which
drink or food is wanted with the cigar or refused."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from voicedraft.evaluate.gold import gold_passages
from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.facts.roles import ROLES
from voicedraft.read.facts.telling import KINDS
from voicedraft.read.pairings import sections_of
from voicedraft.read.pairings.tokens import Names, row
from voicedraft.train import facts, pairings, scores

NOTHING, MARK, TOP = "nothing", "mark", "scale"
LABELS = (NOTHING, *(role.name for role in ROLES), *facts.ALONE, MARK, TOP)
"""What a number or name may be."""
ACTS = {kind: ("", *told) for kind, told in KINDS.items()}
"""Act → what a sentence may tell of it."""
_LISTED = 0.5
"""What the words of a sentence count that only holds a listed drink or food."""
Span = tuple[int, int, int]
"""Sentence, first character, one past the last."""


def told_of(gold: dict[str, Any], analysis: Analysis, lexicon: Lexicon) -> tuple[dict[Span, str], np.ndarray]:
    """What each number and name of the session is that may be a fact, a mark or a scale, and (sentences, acts): what
    each sentence tells of each act, as an index of `ACTS`, -100 where that is not known."""
    told = facts.study(gold["facts"], analysis, gold_passages(gold), lexicon, parts=False)
    found = _facts(told, analysis)
    for span, label in marks_of(gold, analysis, lexicon).items():
        _put(found, span, label)
    return found, _acts(told, analysis)


def marks_of(gold: dict[str, Any], analysis: Analysis, lexicon: Lexicon) -> dict[Span, str]:
    """What each number is that may be a mark or a scale."""
    found: dict[Span, str] = {}
    passages = gold_passages(gold)
    seen = scores.study(gold.get("scores", ()), analysis, passages, lexicon)
    for mark in seen.seen.marks:
        right = any(scores.out_of(seen, p.aspect, mark) is not None
                    for p in seen.seen.pairs if seen.seen.marks[p.mark] is mark)
        _put(found, _span(mark.line, mark.number.first, mark.last), MARK if right else NOTHING)
    tops = {n for _, _, n in seen.scores}
    for top in seen.seen.tops:
        _put(found, _span(top.line, top.number.first, top.number.last), TOP if top.value in tops else NOTHING)
    return found


def _put(found: dict[Span, str], span: Span, label: str) -> None:
    if found.get(span, NOTHING) == NOTHING:
        found[span] = label


def _span(line: Any, first: int, last: int) -> Span:
    return line.index, line.tokens[first].start, line.tokens[last - 1].end


def _facts(told: facts.Studied, analysis: Analysis) -> dict[Span, str]:
    found: dict[Span, str] = {}
    place = {id(doc): n for n, doc in enumerate(analysis.docs)}
    for role, groups in told.roles.items():
        for one, right in (pair for group in groups for pair in group):
            line, first, last = one.candidate.line, one.candidate.first, one.candidate.last
            _, start, end = _span(line, first, last)
            _put(found, (place[id(line.doc)], start, end), role if right else NOTHING)
    return found


def _acts(told: facts.Studied, analysis: Analysis) -> np.ndarray:
    out = np.full((len(analysis.sentences), len(ACTS)), -100)
    rows = {id(e.sentence): n for n, e in enumerate(analysis.encoded)}
    for sentence in told.sentences:
        for column, (kind, classes) in enumerate(ACTS.items()):
            if kind in sentence.told:
                out[rows[id(sentence.vector)], column] = classes.index(sentence.told[kind])
    return out


def wanted_of(gold: dict[str, Any], analysis: Analysis, lexicon: Lexicon) -> tuple[np.ndarray, np.ndarray]:
    """((tokens,) 0 neither, 1 wanted with the cigar, 2 refused; (tokens,) what each counts)."""
    names = Names.of(lexicon)
    sections = sections_of(analysis, gold_passages(gold))
    rows = [row(s, d, e, names) for s, d, e in zip(analysis.sentences, analysis.docs, analysis.encoded, strict=True)]
    labels, weights = list[int](), list[float]()
    for tags, told, section in zip(pairings.align(gold["pairings"], rows, sections), rows, sections, strict=True):
        talks = section == "pairings" or any(t != "O" for t in tags)
        listed = any(t.mark for t in told.tokens)
        labels += [0 if t == "O" else 2 if t[2:] == "avoid" else 1 for t in tags]
        weights += [1.0 if talks else _LISTED if listed else 0.0] * len(tags)
    return np.array(labels), np.array(weights)


def in_tokens(spans: dict[Span, str], docs: Sequence[Any]) -> np.ndarray:
    """(spans, 3): first token and one past the last, counted over all sentences, and the index of `LABELS`."""
    begins = np.cumsum([0, *(len(doc) for doc in docs)])
    out = []
    for (n, start, end), label in sorted(spans.items()):
        held = [t.i for t in docs[n] if t.idx < end and t.idx + len(t.text) > start]
        if held:
            out.append((begins[n] + held[0], begins[n] + held[-1] + 1, LABELS.index(label)))
    return np.array(out, np.int64).reshape(-1, 3)
