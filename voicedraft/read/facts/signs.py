"""What is seen of a candidate: the words and listed phrases around it, its place, and its worth beside the others."""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.boxcount import counted_tokens
from voicedraft.read.facts.candidates import Candidate
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.grammar import grammar_signs
from voicedraft.read.facts.hedges import is_guess
from voicedraft.read.facts.kin import Kin, worth
from voicedraft.read.numbers.tokens import Token

LISTS = (
    "correction", "said_before", "pause", "denied", "other_cigar", "this_cigar", "size.length", "size.ring",
    "size.ruler", "size.measured", "size.imagined", "price.single", "price.cue", "price.box", "price.derived",
    "price.people", "price.opinion", "price.difference", "price.void", "price.with_tax", "price.regular",
    "price.settled", "price.count_after", "price.count_before", "rest.put_away", "rest.about", "rest.not_rest",
    "humidity.about", "humidity.keeping", "humidity.elsewhere", "smoking.whole", "smoking.lit", "smoking.over",
    "smoking.total", "smoking.aside",
)
"""Phrase lists of lexicon/facts.toml that are looked for around a candidate."""
_TEXT_LISTS = (
    "leaf.wrapper", "leaf.binder", "leaf.filler", "leaf.crossed_out", "leaf.settled", "leaf.mix", "leaf.whole",
    "leaf.same", "leaf.unknown", "leaf.guess", "leaf.unsure", "leaf.hedged", "country.made", "country.unsure",
    "vitola.strong", "vitola.weak", "price.people", "name.maker", "name.line",
)
"""The same for size names, leaves and countries."""
_ALL = (*LISTS, *_TEXT_LISTS)
_PARTS = ("leaf.wrapper", "leaf.binder", "leaf.filler", "country.made")
_TEXT = frozenset({"vitola", "leaf", "country", "name"})
_FAR = 8
"""Tokens on either side that are told apart by side."""
_SUFFIXES = ("ing", "ed", "es", "s")


def stem(text: str) -> str:
    """A rough stem: "costs", "costed", "costing" are one word."""
    for suffix in _SUFFIXES:
        if text.endswith(suffix) and len(text) - len(suffix) >= 3:
            return text[: -len(suffix)]
    return text


def _word(token: Token, numbers: dict[int, str], i: int) -> str:
    if i in numbers:
        return numbers[i]
    if token.text[0].isdigit():
        return "<n>"
    capital = token.printed[:1].isupper() and i > 0 and not token.stops and token.text not in ("i",)
    return "<name>" if capital and token.text != "ring" else stem(token.text)


Present = dict[int, frozenset[str]]
"""Number of a line → the phrase lists that it holds a phrase of, filled as lines are looked at."""


def _present(line: Line, known: Present) -> frozenset[str]:
    if line.index not in known:
        known[line.index] = line.words.index(_ALL).held(line.tokens)
    return known[line.index]


def signs(session: Session, kin: Kin, k: int, known: Present) -> list[str]:
    """The signs of candidate `k` of its kind. Each is a short word of its own.

    `known` is kept by the caller while one session is read.
    """
    c = kin.told[k]
    line = c.line
    numbers = {i: "<n>" for n in line.quantities.numbers for i in range(n.first, n.last)}
    words = [_word(t, numbers, i) for i, t in enumerate(line.tokens)]
    out = {f"kind={c.shape}", f"section={line.section}", f"stage={line.stage}"}
    out |= _around(line, words, c.first, c.last)
    out |= grammar_signs(line, c.first, c.last)
    out |= _phrases(session, c, known)
    out |= _own(kin.told, k, _present(line, known))
    if c.kind in ("money", "count") and c.first in counted_tokens(line):
        out.add("counted")
    out |= _place(session, kin, k)
    out |= _named(c) if c.kind in _TEXT else worth(kin, k)
    out |= {f"said {min(4, kin.times[c.value])} times", "only one" if len(kin.times) == 1 else "one of several"}
    return sorted(out)


def _named(c: Candidate) -> set[str]:
    """The part that is named next before and next after, and how near; and whether a size follows."""
    line, out = c.line, set()
    parts = sorted((h.first, h.last, path) for path in _PARTS for h in line.find(path))
    before = [p for p in parts if p[1] <= c.first]
    after = [p for p in parts if p[0] >= c.last]
    for side, near in (("before", before[-1:]), ("after", after[:1])):
        for first, last, path in near:
            away = c.first - last if side == "before" else first - c.last
            out |= {f"{side} {path}", f"{side} {path} {min(3, away // 2)}"}
            between = line.tokens[last : c.first + 1] if side == "before" else line.tokens[c.last : first + 1]
            if not any(t.breaks for t in between):
                out.add(f"{side} {path} joined")
        if not near:
            out.add(f"{side} none")
    if c.kind == "vitola":
        q = line.quantities
        out |= {"size follows" for s in q.sizes if 0 <= s.first - c.last <= 12}
        out |= {"size before" for s in q.sizes if 0 <= c.first - s.last <= 8}
    return out


def _around(line: Line, words: Sequence[str], first: int, last: int) -> set[str]:
    out: set[str] = set()
    a, b = line.clause(first)
    b = max(b, last)
    end = last
    while end < len(words) and not line.tokens[end].stops:
        end += 1
    start = first
    while start > 0 and not line.tokens[start].stops:
        start -= 1
    for i in range(start, end):
        if first <= i < last:
            continue
        side = "l" if i < first else "r"
        near = first - i if i < first else i - last + 1
        out.add(f"in {words[i]}")
        if near <= _FAR:
            out.add(f"{side} {words[i]}")
        if a <= i < b:
            out.add(f"{side}c {words[i]}")
        if near <= 2:
            out.add(f"{side}{near} {words[i]}")
    before = words[first - 2 : first] if first >= 2 else []
    after = words[last : last + 2]
    if len(before) == 2 and not line.tokens[first - 1].breaks:
        out.add("l12 " + " ".join(before))
    if len(after) == 2 and last + 1 < len(words) and not line.tokens[last].breaks:
        out.add("r12 " + " ".join(after))
    out.add("l1 ," if first == 0 or line.tokens[first].breaks else "l1 -")
    out.add("r1 ," if last >= len(words) or line.tokens[last].breaks else "r1 -")
    return out


def _phrases(session: Session, c: Candidate, known: Present) -> set[str]:
    line, out = c.line, set()
    a, b = line.clause(c.first)
    b = max(b, c.last)
    lists = LISTS[:6] + _TEXT_LISTS if c.kind in _TEXT else LISTS
    here = _present(line, known)
    for path in [p for p in lists if p in here]:
        for hit in line.find(path):
            if hit.first < c.last and hit.last > c.first:
                continue
            side = "l" if hit.first < c.first else "r"
            out.add(f"{side}s {path}")
            if a <= hit.first < b:
                out.add(f"{side}c {path}")
            if 0 <= (c.first - hit.last if side == "l" else hit.first - c.last) <= 2:
                out.add(f"{side}n {path}")
    for step in (-1, 1):
        if 0 <= line.index + step < len(session.lines):
            near = session.lines[line.index + step]
            beside = _present(near, known)
            out |= {f"line{step:+d} {path}" for path in lists if path in beside}
            if near.text.endswith("?"):
                out.add(f"line{step:+d} ?")
            out.add(f"line{step:+d} section={near.section}")
    if line.text.endswith("?"):
        out.add("?")
    if line.turn is not None:
        out.add("after the turn" if c.first > line.turn else "before the turn")
    if line.denied(c.first):
        out.add("denied")
    if line.other[c.first]:
        out.add("other")
    if is_guess(line, c.first, c.last):
        out.add("guess")
    return out


def _own(told: Sequence[Candidate], k: int, here: frozenset[str]) -> set[str]:
    """Listed phrases between the candidate and its neighbours, and which of each pair of rivals stands nearest."""
    c, line = told[k], told[k].line
    start = told[k - 1].last if k and told[k - 1].line is line else 0
    end = told[k + 1].first if k + 1 < len(told) and told[k + 1].line is line else len(line.tokens)
    lists = [path for path in (*LISTS[:6], *(_TEXT_LISTS if c.kind in _TEXT else _RIVALS)) if path in here]
    rivals = [path for path in _RIVALS if path in here]
    out = {f"lo {path}" for path in lists if line.has(path, start, c.first)}
    out |= {f"ro {path}" for path in lists if line.has(path, c.last, end)}
    before = [(h.last, path) for path in rivals for h in line.find(path, 0, c.first)]
    after = [(-h.first, path) for path in rivals for h in line.find(path, c.last)]
    if c.kind not in _TEXT:
        out |= {f"{side} nearest {max(found)[1]}" for side, found in (("l", before), ("r", after)) if found}
    return out


_RIVALS = (
    "price.single", "price.box", "price.people", "price.opinion", "price.void", "price.difference", "this_cigar",
    "other_cigar", "size.length", "size.ring", "price.derived", "humidity.elsewhere", "rest.about", "smoking.whole",
)


def _place(session: Session, kin: Kin, k: int) -> set[str]:
    """Where it stands: in the session, among the candidates of its kind, and before or after a correction."""
    c, line = kin.told[k], kin.told[k].line
    out = {f"part={min(4, 5 * line.index // max(1, len(session.lines)))}"}
    if line.index < session.opening:
        out.add("before the smoke")
    first, last = kin.of_line[line.index]
    own, at = kin.told[first:last], k - first
    out.add("alone" if len(own) == 1 else "first" if at == 0 else "last" if at == len(own) - 1 else "between")
    if at and line.corrected(own[at - 1].last, c.first):
        out.add("corrects")
    if at and line.corrected(own[at - 1].last, c.first, strict=True):
        out.add("corrects surely")
    if at + 1 < len(own):
        if line.corrected(c.last, own[at + 1].first):
            out.add("corrected")
        if line.corrected(c.last, own[at + 1].first, strict=True):
            out.add("corrected surely")
        out.add("gap=" + ("close" if own[at + 1].first - c.last <= 3 else "far"))
    if line.corrected(0, c.first):
        out.add("correction before")
    out.add(f"later={min(3, len(kin.told) - last)}")
    return out
