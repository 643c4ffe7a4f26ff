"""What is seen of one session: marks with the aspects that they may be of, scales, and the signs of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from voicedraft.read.scores import bare
from voicedraft.read.scores.alike import both
from voicedraft.read.scores.aspect import OVERALL
from voicedraft.read.scores.bound import barred
from voicedraft.read.scores.candidates import Mark, Named, Top, aspects, marks, tops
from voicedraft.read.scores.comparison import only_counts
from voicedraft.read.scores.in_order import in_order
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.model import TOP
from voicedraft.read.scores.signs import close, mark_signs, named_signs, top_signs
from voicedraft.read.scores.whose import after_waiting, own_list
from voicedraft.read.sign_weights import SignWeights

_REFUSED = frozenset({
    "is other cigar", "is supposed", "is denied", "is other speaker", "is difference", "is deducted", "is defined",
    "is referred", "is taken off",
})
_SCALES = ("scale strong", "scale weak", "scale none")
_NEAR = frozenset({
    "A before", "A after", "O before", "O after", "before nearest A", "after nearest A", "before nearest O",
    "after nearest O", "O whole", "before next to it", "after next to it", "O section", "A section",
})
"""Signs of an aspect that are also told apart by the mark's scale, by what refuses it and by its section."""
_SIDED = frozenset({
    "numbers=1", "numbers=2", "numbers=3", "numbers=4", "aspects=0", "aspects=1", "aspects=2", "aspects=3",
    "overall said", "terse",
})
_SIDED_STARTS = ("section", "r1", "l1", "scale")
"""Signs of a mark that are also told apart by whether it is of an aspect or of the whole."""


@dataclass(frozen=True, slots=True)
class Pair:
    """`mark` is the index of a mark that may be of `aspect`."""

    aspect: str
    mark: int
    signs: tuple[str, ...]


@dataclass(frozen=True)
class Seen:
    """`top_signs[i]` are the signs of `tops[i]`."""

    rows: Sequence[Line]
    marks: Sequence[Mark]
    tops: Sequence[Top]
    top_signs: Sequence[tuple[str, ...]]
    pairs: Sequence[Pair]
    shared: frozenset[tuple[int, str]] = frozenset()
    """A mark and an aspect where the mark is said to be of several aspects: "draw and burn both get eight"."""


def see(rows: Sequence[Line], words: Words, weights: SignWeights | None = None) -> Seen:
    """All that may be a score or a scale. weights: where they are given, marks that no likely scale has room for are
    left out, since they could not be given."""
    found = tops(rows, words)
    by_top = [tuple(sorted(top_signs(t, words))) for t in found]
    told = [
        m for m in marks(rows, found, words)
        if not own_list(m.line, m.number) and not after_waiting(m.line, m.number) and (
            m.scale is not None
            or not (bare.one(m.line, m.number) or only_counts(m.line, m.number, words))
        )
    ]
    if weights is not None:
        odds = [weights.weigh(TOP, signs) for signs in by_top]
        likely = [t for t, o in zip(found, odds, strict=True) if o > _UNLIKELY]
        told = [m for m in told if m.scale is not None or any(_room(t, m) for t in likely)]
    pairs = _ordered(told, [pair for i, mark in enumerate(told) for pair in _pairs(rows, mark, i, found, words)])
    never = {(i, a) for i in {m.line.index for m in told} for a in barred(rows[i], words)}
    turn = {
        (i, number.first): aspect for i in {m.line.index for m in told} for number, aspect in in_order(rows[i], words)
    }
    return Seen(rows, told, found, by_top, [
        p for p in pairs
        if (told[p.mark].line.index, (told[p.mark].number.first, p.aspect)) not in never
        and turn.get(told[p.mark].place, p.aspect) == p.aspect
    ], frozenset((i, a) for i, m in enumerate(told) for a in both(m.line, m.number, words)))


def without(seen: Seen, places: frozenset[tuple[int, int]]) -> Seen:
    """The same without what the numbers at these places, by sentence and token, may be marks of."""
    return replace(seen, pairs=[p for p in seen.pairs if seen.marks[p.mark].place not in places])


def _pairs(rows: Sequence[Line], mark: Mark, i: int, found: Sequence[Top], words: Words) -> list[Pair]:
    own = mark_signs(rows, mark, found, words) | _beside(rows, mark, words)
    kind = next(s for s in _SCALES if s in own)
    refused = "refused" if own & _REFUSED else "free"
    sided = [s for s in own if s in _SIDED or s.startswith(_SIDED_STARTS)]
    by_aspect: dict[str, list[Named]] = {}
    for named in aspects(rows, mark, words):
        by_aspect.setdefault(named.aspect, []).append(named)
    out = []
    for aspect, ways in by_aspect.items():
        told = {s for named in ways for s in named_signs(mark, named, words)}
        near = told & _NEAR
        told |= {f"{kind} {refused} {s}" for s in near}
        told |= {f"{kind} {refused} section={mark.line.section} {s}" for s in near}
        whole = "O" if aspect == OVERALL else "A"
        out.append(Pair(aspect, i, (*own, *told, *(f"{whole} {s}" for s in sided))))
    return out


def _beside(rows: Sequence[Line], mark: Mark, words: Words) -> set[str]:
    """Turns of correction and near values in the sentences before and after."""
    at, out = mark.line.index, set()
    if at + 1 < len(rows):
        after = rows[at + 1]
        if after.find(words.correction, 0, 4):
            out |= {"turn next", f"turn next numbers={min(2, len(after.numbers))}"}
        out |= {"near next" for n in after.numbers[:1] if close(n, mark.value)}
    if at:
        out |= {"near last" for n in rows[at - 1].numbers[-1:] if close(n, mark.value)}
    return out


def _ordered(told: Sequence[Mark], pairs: Sequence[Pair]) -> list[Pair]:
    """The pairs, with signs of how many marks stand beside the same aspect earlier and later."""
    here: dict[str, list[tuple[int, int]]] = {}
    for pair in pairs:
        if not _HERE.isdisjoint(pair.signs):
            here.setdefault(pair.aspect, []).append(told[pair.mark].place)
    out = []
    for pair in pairs:
        place = told[pair.mark].place
        signs = _order(place, here.get(pair.aspect, ()))
        out.append(Pair(pair.aspect, pair.mark, tuple(sorted({*pair.signs, *signs}))))
    return out


_HERE = frozenset({"A before", "A after", "O before", "O after"})


def _order(place: tuple[int, int], others: Sequence[tuple[int, int]]) -> set[str]:
    later = {p[0] for p in others if p[0] > place[0]}
    sooner = {p[0] for p in others if p[0] < place[0]}
    own = [p for p in others if p[0] == place[0]]
    return {
        f"later={min(2, len(later))}", f"sooner={min(2, len(sooner))}",
        f"later here={min(2, sum(p > place for p in own))}", f"sooner here={min(2, sum(p < place for p in own))}",
    }


_SMALL_SHARE, _LONG = 0.25, 50.0
"""On a scale this long a value below this share counts something else (common practice, no source)."""


def options(seen: Seen, mark: Mark, odds: Sequence[float]) -> list[int]:
    """Indices of the scales that the mark may stand on; the one said with it alone where there is one."""
    if mark.scale is not None:
        own = [k for k, t in enumerate(seen.tops) if t.line is mark.line and t.scale == mark.scale]
        if own:
            return own
    return [k for k, t in enumerate(seen.tops) if odds[k] > _UNLIKELY and _room(t, mark)]


def _room(top: Top, mark: Mark) -> bool:
    """Whether the mark may stand on the scale."""
    small = top.value >= _LONG and mark.value < _SMALL_SHARE * top.value
    return top.value >= mark.value and not small and not _same(top, mark) and _of_stars(top, mark)


_UNLIKELY = -2.5
"""Log-odds at or below which a number is no scale."""


def _of_stars(top: Top, mark: Mark) -> bool:
    """Whether stars may stand on the scale: on a short one, or on one that is counted in stars."""
    stars = mark.line.text(mark.number.last) in _STARS
    return not stars or top.value <= _MOST_STARS or top.line.noun_in(_STARS)


_STARS = frozenset({"star", "stars"})
_MOST_STARS = 7.0
"""A longer scale said elsewhere is none of stars (common practice, no source)."""


def _same(top: Top, mark: Mark) -> bool:
    return top.line is mark.line and top.number.first == mark.number.first


def scale_signs(
    seen: Seen, aspect: str, mark: Mark, k: int, odds: Sequence[float], marked: Mapping[int, float]
) -> list[str]:
    """The signs of scale `k` for a mark. odds: of each scale being one; marked: of each mark being given."""
    top = seen.tops[k]
    if mark.scale is not None and top.line is mark.line and top.scale == mark.scale:
        return ["own"]
    away = top.line.index - mark.line.index
    side = "same" if away == 0 else "before" if away < 0 else "after"
    out = {f"{side} {sum(abs(away) >= x for x in (1, 2, 4, 8, 20))}", f"share={int(6 * mark.value / top.value)}"}
    later = any(
        o > 0 and mark.line.index >= t.line.index > top.line.index for t, o in zip(seen.tops, odds, strict=True)
    )
    out.add("latest" if away <= 0 and not later else "not latest")
    times = sum(t.value == top.value and o > 0 for t, o in zip(seen.tops, odds, strict=True))
    out |= {f"times={min(3, times)}", f"odds={max(-3, min(3, round(odds[k] / 1.5)))}"}
    length = 0 if top.value <= 10 else 1 if top.value < 100 else 2
    out.add(f"{'O' if aspect == OVERALL else 'A'} length={length}")
    if top.scale is not None and top.scale.number >= 0:
        out.add("with a value")
    if top.line.section == mark.line.section:
        out.add("same section")
    return sorted(out | _of_marks(seen, top, marked))


def _of_marks(seen: Seen, top: Top, marked: Mapping[int, float]) -> set[str]:
    """Whether the scale is a mark itself, and how the marks given fit on it."""
    own = [o for j, o in marked.items() if _same(top, seen.marks[j])]
    out = {f"as mark={max(-2, min(3, round(max(own) / 1.5)))}" if own else "no mark"}
    given = [seen.marks[j] for j, o in marked.items() if o > 0]
    over = sum(m.scale is None and m.value > top.value for m in given)
    highest = max((m.value for m in given if m.value <= top.value), default=0.0)
    out |= {f"over={min(2, over)}", f"top share={int(6 * highest / top.value)}"}
    if any(m.scale is not None and _same(top, m) for m in seen.marks):
        out.add("a value itself")
    return out
