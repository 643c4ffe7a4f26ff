"""What is seen of a mark, of an aspect beside it and of a scale: words about it, its place, and what grammar says."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from voicedraft.read.facts.signs import stem
from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores import bare, whose
from voicedraft.read.scores.aspect import OVERALL
from voicedraft.read.scores.candidates import MOST, Mark, Named, Top
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.sums import taken_off

_FAR = 6
"""Tokens on either side of a number whose words are told by side."""
_STEPS = (1, 2, 3, 5, 8, 13)
"""Bounds of distances in tokens."""
_POINTS = frozenset({"point", "points", "star", "stars", "mark", "marks"})
_GRAMMAR: tuple[tuple[str, Callable[[Line, Number, Words], bool]], ...] = (
    ("other cigar", whose.of_another_cigar), ("supposed", whose.supposed), ("denied", whose.denied),
    ("other speaker", whose.of_another_speaker), ("free", bare.free), ("given", bare.given), ("scored", bare.scored),
    ("closes", bare.closes), ("plain", bare.plain),
    ("difference", lambda line, n, words: whose.difference(line, n.last)),
    ("deducted", lambda line, n, words: whose.deducted(line, n)),
    ("defined", lambda line, n, words: whose.defined(line, n)),
    ("referred", lambda line, n, words: whose.referred(line, n)),
    ("alone", lambda line, n, words: bare.alone(line, n)), ("one", lambda line, n, words: bare.one(line, n)),
    ("pronoun", lambda line, n, words: bare.pronoun(line, n)),
    ("taken off", lambda line, n, words: n in taken_off(line)),
    ("what is left", lambda line, n, words: bool(taken_off(line)) and n.first > taken_off(line)[-1].first),
)
"""What grammar says of a number, each by its own rule."""
_LISTS = ("earlier", "halfway", "never", "correction", "cigars", "this", "give_after")


def _word(line: Line, i: int, numbers: frozenset[int]) -> str:
    if i in numbers:
        return "<n>"
    token = line.tokens[i]
    if token.text[0].isdigit():
        return "<n>"
    capital = token.printed[:1].isupper() and i > 0 and not token.stops and line.pos[i] == "PROPN"
    return "<name>" if capital else stem(token.text)


def around(line: Line, first: int, last: int, words: Words) -> set[str]:
    """The words on either side of `[first, last)`, names of aspects as one word."""
    numbers = frozenset(i for n in line.numbers for i in range(n.first, n.last))
    named = {i for s in line.find(words.aspects) for i in range(*s)}
    clause, out = line.clause[first], set()
    for i in range(len(line.tokens)):
        if first <= i < last:
            continue
        side, near = ("l", first - i) if i < first else ("r", i - last + 1)
        word = "<aspect>" if i in named else _word(line, i, numbers)
        if near <= _FAR:
            out.add(f"{side} {word}")
        if near <= 2:
            out.add(f"{side}{near} {word}")
            out.add(f"{side}{near} pos={line.pos[i]}")
        if line.clause[i] == clause:
            out.add(f"{side}c {word}")
        out.add(f"in {word}")
    out.add("l1 ," if first == 0 or line.tokens[first].breaks else "l1 -")
    out.add("r1 ," if last >= len(line.tokens) or line.tokens[last].breaks else "r1 -")
    if first == 0:
        out.add("l1 <start>")
    if last >= len(line.tokens):
        out.add("r1 <end>")
    return out


def _size(value: float) -> str:
    return str(sum(value >= x for x in (1, 2, 5, 10.1, 20.1, 50, 75, 100.1)))


def place(rows: Sequence[Line], line: Line, words: Words) -> set[str]:
    """Where the sentence stands, and what its neighbours are."""
    out = {f"section={line.section}", f"part={min(4, 5 * line.index // max(1, len(rows)))}"}
    passage = line.passages[len(line.passages) // 2] if line.passages else None
    out.add(f"stage={passage.stage if passage else None}")
    for step in (-1, 1):
        if 0 <= line.index + step < len(rows):
            near = rows[line.index + step]
            out |= {f"line{step:+d} section={near.section}", f"line{step:+d} numbers={min(3, len(near.numbers))}"}
            out |= {f"line{step:+d} noun" for _ in range(near.noun(words))}
            out |= {f"line{step:+d} aspect" for _ in near.find(words.aspects)[:1]}
            out |= {f"line{step:+d} overall" for _ in near.find(words.overall)[:1]}
    if line.noun(words):
        out.add("noun")
    out.add(f"numbers={min(4, len(line.numbers))}")
    out.add(f"aspects={min(3, len(line.find(words.aspects)))}")
    if line.find(words.overall):
        out.add("overall said")
    if len(line.tokens) <= 5:
        out.add("terse")
    return out


def mark_signs(rows: Sequence[Line], mark: Mark, found: Sequence[Top], words: Words) -> set[str]:
    """The signs of a number, whatever it is a mark of."""
    line, number = mark.line, mark.number
    out = around(line, number.first, mark.last, words) | place(rows, line, words)
    grammar = {f"is {name}" for name, holds in _GRAMMAR if holds(line, number, words)}
    out |= grammar | _phrases(line, number, words) | _scaled(mark, found)
    out.add(f"size={_size(mark.value)}")
    out.add("half" if number.fraction else "places" if number.places else "whole")
    if line.text(number.last) in _POINTS:
        out.add("points")
    return out


def _scaled(mark: Mark, found: Sequence[Top]) -> set[str]:
    """How the number goes with the scales said."""
    if mark.scale is not None:
        out = {"scale weak" if mark.scale.weak else "scale strong"}
        return out | {f"share={int(4 * mark.value / mark.scale.out_of)}"}
    said = [t for t in found if t.scale is not None]
    fits = [t for t in said if t.value >= mark.value]
    own = {t.value for t in fits}
    out = {"scale none", f"scales={min(3, len({t.value for t in said}))}"}
    if not fits:
        return out | {"no scale fits"}
    before = [t for t in fits if t.line.index <= mark.line.index]
    near = before[-1] if before else fits[0]
    out.add("scale before" if before else "scale after")
    away = abs(mark.line.index - near.line.index)
    out.add(f"scale away={sum(away >= x for x in (1, 2, 4, 8, 20))}")
    out.add(f"share={min(4, int(4 * mark.value / near.value))}")
    if mark.value in {t.value for t in said}:
        out.add("is a scale itself")
    if len(own) == 1:
        out.add("one scale fits")
    return out


def _phrases(line: Line, number: Number, words: Words) -> set[str]:
    """The listed turns before and after the number."""
    start, end = line.clause_range(line.clause[number.first])
    out: set[str] = set()
    for path in _LISTS:
        for a, b in line.find(getattr(words, path)):
            side = "l" if b <= number.first else "r" if a >= number.last else ""
            if side:
                out.add(f"{side}s {path}")
                if start <= a < end:
                    out.add(f"{side}c {path}")
                if (number.first - b if side == "l" else a - number.last) <= 2:
                    out.add(f"{side}n {path}")
    for path in ("give", "scoring", "speakers", "verbs"):
        held = getattr(words, path)
        out |= {f"lc {path}" for i in range(start, number.first) if line.text(i) in held}
        out |= {f"rc {path}" for i in range(number.last, end) if line.text(i) in held}
    out |= _turns(line, number, words)
    out |= {f"before {n}" for n in [_step(number.first - m.last) for m in line.numbers if m.last <= number.first][-1:]}
    out |= {f"next {n}" for n in [_step(m.first - number.last) for m in line.numbers if m.first >= number.last][:1]}
    return out


def close(number: Number, value: float) -> bool:
    """Whether a number is near enough to be another telling of the value; our own choice, no outside source."""
    return abs(number.value - value) <= max(1.0, 0.15 * value)


def _turns(line: Line, number: Number, words: Words) -> set[str]:
    """Whether a turn of correction parts the number from its neighbours, and how near in value they are."""
    out: set[str] = set()
    before = [n for n in line.numbers if n.last <= number.first][-1:]
    after = [n for n in line.numbers if n.first >= number.last][:1]
    for told, neighbours in (("corrects", before), ("corrected", after)):
        for n in neighbours:
            first, last = (n.last, number.first) if told == "corrects" else (number.last, n.first)
            turns = line.find(words.correction, first, last)
            near = "near" if close(n, number.value) else "far"
            same = "same" if n.value == number.value else near
            out |= {f"{told} {same}"} if turns else set()
            out.add(f"{told[:-1]}or {same}")
            if not line.find(words.named, first, last):
                out.add(f"{told} {same}, none named between" if turns else f"{told[:-1]}or {same}, none named between")
            if len(turns) and line.tokens[turns[0][0]].breaks:
                out.add(f"{told} set off")
    if not before and line.find(words.correction, 0, number.first):
        out.add("corrects a sentence before")
    if line.find(words.earlier, after[0].last if after else number.last):
        out.add("earlier after it")
    return out


def _step(n: int) -> str:
    return str(sum(n >= x for x in _STEPS))


def named_signs(mark: Mark, named: Named, words: Words) -> set[str]:
    """How an aspect stands to the number."""
    line, number = mark.line, mark.number
    how = named.how
    whole_ = "O" if named.aspect == OVERALL else "A"
    if named.span is None:
        return {f"{whole_} {how}", f"{whole_} {how} section={line.section}"}
    if how != "here":
        return _elsewhere(mark, named, whole_)
    a, b = named.span
    before = b <= number.first
    side = "before" if before else "after"
    gap = range(b, number.first) if before else range(mark.last, a)
    out = {f"{whole_} {side}", f"{whole_} {side} {_step(len(gap))}", f"{side} {_step(len(gap))}"}
    spans = line.find(words.named)
    rivals = [s for s in spans if s != named.span and (
        b <= s[0] < number.first if before else mark.last <= s[0] < a
    )]
    out.add(f"{side} nearest" if not rivals else f"{side} behind")
    out.add(f"{side} nearest {whole_}" if not rivals else f"{side} behind {whole_}")
    between = [n for n in line.numbers if n.first in gap]
    out.add(f"{side} numbers between={min(2, len(between))}")
    out.add(f"{side} {'same' if line.clause[a] == line.clause[number.first] else 'other'} clause")
    breaks = sum(line.tokens[i].breaks for i in [*gap, number.first if before else a])
    out.add(f"{side} breaks={min(2, breaks)}")
    out |= _led(line, named.span, side, whole_)
    if len(gap) <= 5:
        out |= {f"{side} gap {stem(line.text(i))}" for i in gap}
        out.add(f"{side} gap words={' '.join(line.text(i) for i in gap)}" if len(gap) <= 2 else f"{side} gap long")
    out.add(f"{side} order={_order(line, spans)}")
    mine = [n for n in line.numbers if n.first >= b]
    theirs = [n for n in line.numbers if n.last <= a]
    if (mine[:1] == [number]) if before else (theirs[-1:] == [number]):
        out.add(f"{side} next to it")
    other = mine if not before else theirs
    out.add(f"{side} contested" if other else f"{side} uncontested")
    return out


def _led(line: Line, span: tuple[int, int], side: str, whole_: str) -> set[str]:
    """What stands right before and after the aspect."""
    a, b = span
    out = {f"{side} led by {line.text(a - 1) if a and not line.tokens[a].breaks else ','}"}
    out.add(f"{side} {whole_} followed by {stem(line.text(b)) if line.joined(b) else ','}")
    out.add(f"{side} pos={line.pos[b - 1]}")
    if a and line.pos[a - 1] == "ADJ":
        out.add(f"{side} praised")
    start, _ = line.clause_range(line.clause[a])
    out.add(f"{side} opens {min(3, a - start)}")
    if a <= 1:
        out.add(f"{side} opens the sentence")
    return out


def _order(line: Line, spans: Sequence[tuple[int, int]]) -> str:
    """Whether aspects come before their numbers in the sentence: the order of the first ones, "A" or "N"."""
    if not spans or not line.numbers:
        return ""
    return "A" if spans[0][0] < line.numbers[0].first else "N"


def _elsewhere(mark: Mark, named: Named, whole_: str) -> set[str]:
    """How an aspect of another sentence stands to the number."""
    other, how = named.line, named.how
    assert named.span is not None
    out = {f"{whole_} {how}", f"{how} away={min(3, abs(other.index - mark.line.index))}"}
    out.add(f"{how} {'terse' if len(other.tokens) <= 5 else 'long'}")
    out.add(f"{how} numbers={min(2, len(other.numbers))}")
    out.add(f"{how} ends" if named.span[1] == len(other.tokens) else f"{how} goes on")
    out.add(f"{how} same section" if other.section == mark.line.section else f"{how} other section")
    out.add(f"{how} opens {min(3, named.span[0])}")
    out.add(f"{how} pos={other.pos[named.span[1] - 1]}")
    return out


def top_signs(top: Top, words: Words) -> set[str]:
    """The signs of a number that may be a scale."""
    line, number = top.line, top.number
    told = around(line, number.first, number.last, words)
    out = {s for s in told if not s.startswith("in ") and "pos=" not in s}
    out |= {f"section={line.section}", f"numbers={min(3, len(line.numbers))}"}
    if line.noun(words):
        out.add("in noun")
    out |= {f"in {path}" for path in ("units", "give", "scoring") if line.noun_in(getattr(words, path))}
    out.add(f"usual={top.value:.0f}" if top.value in _USUAL else "usual=none")
    aspect_near = any(0 <= number.first - b <= 1 or 0 <= a - number.last <= 1 for a, b in line.find(words.aspects))
    if aspect_near:
        out.add("beside an aspect")
    out |= _topped(line, number)
    if top.scale is not None:
        out.add("form" if top.scale.number < 0 else "form with a value")
        out.add("form weak" if top.scale.weak else "form strong")
        out.add(f"form section={line.section}")
    return out


def _topped(line: Line, number: Number) -> set[str]:
    """Words of the most that can be had, of each, and of habit about a number."""
    out: set[str] = set()
    for side, near in (("l", range(max(0, number.first - 5), number.first)),
                       ("r", range(number.last, min(len(line.tokens), number.last + 5)))):
        told = {line.text(i) for i in near}
        out |= {f"{side} {name} word" for name, held in _CLASSES if told & held}
    return out


_CLASSES = (
    ("most", MOST),
    ("each", frozenset({
        "each", "apiece", "every", "all", "per", "both", "everything", "they", "these", "line", "piece",
    })),
    ("extent", frozenset({
        "up", "to", "until", "till", "go", "goes", "run", "runs", "stop", "stops", "reach", "reaches",
    })),
    ("points", frozenset({"points", "point", "stars", "star", "marks", "mark", "score", "scores", "notes", "grades"})),
    ("out of", frozenset({"out", "outta", "of", "on", "from", "over"})),
    ("unit", frozenset({
        "minutes", "minute", "hour", "hours", "box", "dollars", "pounds", "euros", "ring", "inches", "years", "weeks",
        "days", "percent", "millimetres", "matches", "sticks", "cigars", "months", "gauge", "cents", "rand", "quid",
    })),
)
_USUAL = frozenset({5.0, 10.0, 20.0, 100.0})
