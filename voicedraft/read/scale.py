"""Strength expressions: "medium", "a little under medium", "medium going medium-full", "between medium and full".

Steps: mild 1, mild-medium 2, medium 3, medium-full 4, full 5. The words and the shapes come from lexicon/strength.toml.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from voicedraft.read.numbers.phrases import Hit, Phrases, flags
from voicedraft.read.numbers.tokens import Token, fold, tokenise_text

LOW, HIGH = 1, 5


@dataclass(frozen=True, slots=True)
class Step:
    """A strength of [low, high] at tokens `[first, last)`. `core` where "mild", "medium" or "full" was said itself;
    `image` where it is a figure of speech; `denied` where it was said not to be."""

    low: int
    high: int
    first: int
    last: int
    core: bool = True
    image: bool = False
    denied: bool = False


class Scale:
    """The strength words, ready to match."""

    def __init__(self, table: Mapping[str, Any], not_before: frozenset[str] = frozenset()) -> None:
        self._not_before = not_before
        names = {
            fold(phrase): int(step) for step, phrases in table["names"].items() for phrase in phrases
        }
        phrases: dict[str, tuple[int, int]] = {
            fold(p): (int(r[0]), int(r[1])) for p, r in table["phrases"].items() if "," not in p
        }
        self._names = Phrases({n: (s, s) for n, s in names.items()})
        self._phrases = Phrases({p: r for p, r in phrases.items() if p not in names})
        shapes = table["composed"]
        self.below, self.below_after = flags(shapes["below"]), flags(shapes["below_after"])
        self.above, self.above_after = flags(shapes["above"]), flags(shapes["above_after"])
        self.span, self.between = flags(shapes["join_span"]), flags(shapes["join_between"])
        self.subject = {k: flags(v) for k, v in table["subject"].items()}

    def find(self, tokens: Sequence[Token]) -> list[Step]:
        """Every expression in order, shapes applied, joined expressions joined."""
        found: list[Step] = []
        i = 0
        while i < len(tokens):
            step = self._at(tokens, i)
            if step is None:
                i += 1
                continue
            found.append(step)
            i = step.last
        return self._join(tokens, [self._shape(tokens, s) for s in found])

    def _bounded(self, tokens: Sequence[Token], i: int) -> Step | None:
        """"Above mild and under medium", "past medium but short of full": what lies between the two steps."""
        start = i + _size(_ABOVE, tokens, i)
        if not i < start < len(tokens):
            return None
        low = self._names.at(tokens, start)
        j = low.last if low is not None else i
        while low is not None and j < len(tokens) and tokens[j].text in _JOINS:
            j += 1
        size = _size(_BELOW, tokens, j)
        high = self._names.at(tokens, j + size) if low is not None and size and j + size < len(tokens) else None
        if low is None or high is None or high.value[0] <= low.value[1]:
            return None
        a, b = low.value[1], high.value[0]
        return Step(*((a + 1, b - 1) if b - a > 1 else (a, b)), i, high.last, core=True, image=False)

    def _at(self, tokens: Sequence[Token], i: int) -> Step | None:
        bounded = self._bounded(tokens, i)
        if bounded is not None:
            return bounded
        name, phrase = self._names.at(tokens, i), self._phrases.at(tokens, i)
        hit: Hit[tuple[int, int]] | None = name
        if phrase is not None and (name is None or phrase.last > name.last) and not _measured(tokens, i):
            hit = phrase
        if hit is None:
            return None
        words = [t.text for t in tokens[hit.first : hit.last]]
        core = bool({"mild", "medium", "full", "mildish", "mediumish"} & set(words))
        if hit is name and not _stands(tokens, hit, self._not_before):
            return None
        return Step(*hit.value, hit.first, hit.last, core=core, image=hit is phrase and not core)

    def _shape(self, tokens: Sequence[Token], step: Step) -> Step:
        """Applies "just under" before and "or a bit more" after a plain step."""
        if step.low != step.high and step.core and not step.image and step.low > LOW:
            return self._not_yet(tokens, step)
        if step.low != step.high or step.image:
            return step
        whole, before = _whole_step(tokens, step), self._ending(tokens, step.first)
        if whole is not None and (before is None or whole[2] < before[1]):
            low, high = (min(HIGH, max(LOW, step.low + by)) for by in whole[:2])
            return replace(step, low=low, high=high, first=whole[2])
        after = self._starting(tokens, step.last)
        if before is not None:
            kind, first = before
            low, high = (step.low - 1, step.low) if kind == "below" else (step.low, step.low + 1)
            return replace(step, low=max(LOW, low), high=min(HIGH, high), first=first)
        if after is not None:
            kind, last = after
            low, high = (step.low - 1, step.low) if kind == "below" else (step.low, step.low + 1)
            return replace(step, low=max(LOW, low), high=min(HIGH, high), last=last)
        return step

    def _not_yet(self, tokens: Sequence[Token], step: Step) -> Step:
        """"Not yet full medium": a range that is not reached lies one step lower."""
        before = self._ending(tokens, step.first)
        words = [t.text for t in tokens[before[1] : step.first]] if before is not None else []
        if before is None or before[0] != "below" or words[:1] != ["not"]:
            return step
        return replace(step, low=step.low - 1, high=step.high - 1, first=before[1])

    def _ending(self, tokens: Sequence[Token], i: int) -> tuple[str, int] | None:
        """The longest shape phrase that ends right before token `i`."""
        if tokens[i].breaks:
            return None
        for first in range(max(0, i - 6), i):
            for kind, phrases in (("below", self.below), ("above", self.above)):
                hit = phrases.at(tokens, first)
                if hit is not None and hit.value != "up to" and _tied(tokens, hit.last, i):
                    return kind, first
        return None

    def _starting(self, tokens: Sequence[Token], i: int) -> tuple[str, int] | None:
        if [t.text for t in tokens[i : i + 1]] == ["i"] and i + 2 < len(tokens) and tokens[i + 1].text in _THINKING:
            i += 2
        if i >= len(tokens) or tokens[i].stops:
            return None
        for kind, phrases in (("below", self.below_after), ("above", self.above_after)):
            hit = phrases.at(tokens, i)
            if hit is not None:
                return kind, hit.last
        return _or_amount(tokens, i)

    def _join(self, tokens: Sequence[Token], steps: Sequence[Step]) -> list[Step]:
        out: list[Step] = []
        for step in steps:
            before = out[-1] if out else None
            listed = len(out) > 1 and before is not None and out[-2].last == before.first
            joined = self._joined(tokens, before, step) if before is not None and not listed else None
            if joined is not None:
                out[-1] = joined
            else:
                out.append(step)
        return out

    def _joined(self, tokens: Sequence[Token], a: Step, b: Step) -> Step | None:
        """One step of two joined by "to", "going", "or", "between … and", "with a bit of … in it"."""
        if a.image or b.image or not (a.core or b.core):
            return None
        low, high = min(a.low, b.low), max(a.high, b.high)
        words = [t.text for t in tokens[a.last : b.first]]
        between = [h for h in self.between.find(tokens, max(0, a.first - 4), a.first)]
        if between and words == ["and"]:
            inner = (a.high + 1, b.low - 1) if b.low - a.high == 2 else (low, high)
            return replace(a, low=inner[0], high=inner[1], first=between[0].first, last=b.last, core=a.core and b.core)
        if not (a.core and b.core):
            return None
        if _part_of(words):
            return replace(a, low=a.low, high=min(HIGH, a.low + 1), last=b.last)
        if len(words) <= 6 and self._covers(tokens, a.last, b.first):
            if words in (["to"], ["into"]) and _moved_from(tokens, a.first):
                return None
            if words in (["to"], ["going", "to"]) and high - low == 2 and a.low == a.high and b.low == b.high:
                return replace(a, low=low + 1, high=low + 1, last=b.last)
            return replace(a, low=low, high=high, last=b.last)
        return None

    def _covers(self, tokens: Sequence[Token], first: int, last: int) -> bool:
        """Joining phrases fill the whole range, small words aside."""
        i = first
        seen = False
        while i < last:
            hit = self.span.at(tokens, i)
            if hit is not None and hit.last <= last:
                seen, i = True, hit.last
            elif tokens[i].text in _SMALL:
                i += 1
            else:
                return False
        return seen


def _size(forms: Sequence[tuple[str, ...]], tokens: Sequence[Token], i: int) -> int:
    """Tokens of the form that stands at token `i`, 0 where none does."""
    if i >= len(tokens):
        return 0
    first = tokens[i].text
    return next((len(f) for f in forms if f[0] == first and tuple(t.text for t in tokens[i : i + len(f)]) == f), 0)


_ONE, _TWO = frozenset({"one", "a", "an", "another", "single"}), frozenset({"two", "couple"})
_UNITS = frozenset({
    "step", "steps", "notch", "notches", "rung", "rungs", "degree", "degrees", "peg", "pegs", "grade", "grades",
    "point", "points", "click", "clicks", "level", "levels", "mark", "marks", "stop", "stops", "rank", "ranks",
    "place", "places", "size", "sizes", "class", "gear", "gears", "line", "lines",
})
_WHOLE = frozenset({"good", "full", "whole", "clear", "clean", "exact", "more", "of"})
_ABOVE = (("more", "than"), ("stronger", "than"), ("above",), ("over",), ("past",), ("beyond",))
_BELOW = (("less", "than"), ("short", "of"), ("shy", "of"), ("below",), ("under",))
_JOINS = frozenset({"and", "but", "yet", "still"})
_OVER = frozenset({"above", "over", "past", "beyond", "up", "higher", "better", "on"})
_UNDER = frozenset({"below", "under", "beneath", "short", "shy", "down", "lower", "before", "off"})
_LINKING = frozenset({"of", "from", "than", "on", "away", "the"})
_ROSE = frozenset({"up", "risen", "rose", "climbed", "gained", "grown", "gone"})
_FELL = frozenset({"down", "dropped", "back", "lost", "fallen", "slipped", "come"})


_PART = frozenset({"half", "small", "short", "little", "wee", "baby", "tiny"})


def _whole_step(tokens: Sequence[Token], step: Step) -> tuple[int, int, int] | None:
    """Range of steps away from the named one, up positive, and the first token of it: "one step short of full" is -1
    from full, "one up from mild" 1, "two notches down from full" -2, "half a step above medium" 0 to 1."""
    if tokens[step.first].breaks:
        return None
    words = [t.text for t in tokens[max(0, step.first - 7) : step.first]]
    i = len(words) - 1
    way: list[str] = []
    while i >= 0 and words[i] in _LINKING | _OVER | _UNDER:
        way.append(words[i])
        i -= 1
    unit = i >= 0 and words[i] in _UNITS
    i -= unit
    part = False
    while i >= 0 and words[i] in _WHOLE | _PART | (frozenset({"a"}) if words[i - 1 : i] == ["half"] else frozenset()):
        part = part or words[i] in _PART
        i -= 1
    half = unit and part and words[i + 1] == "half"
    if not way or not (half or (i >= 0 and words[i] in (_ONE | _TWO if unit else {"one", "two"}))):
        return None
    turn = _turn(step, way, words[i - 1] if i > 0 else "")
    size = 2 if not half and words[i] in _TWO else 1
    first = step.first - len(words) + (i + 1 if half and words[i] not in _ONE else i)
    return (min(0, turn), max(0, turn), first) if turn and part else (size * turn, size * turn, first) if turn else None


def _turn(step: Step, way: Sequence[str], before: str) -> int:
    """1 up, -1 down, 0 where the words tell neither."""
    told = [1 if w in _OVER - {"on"} else -1 for w in way if w in (_OVER - {"on"}) | _UNDER]
    if before in _ROSE | _FELL and "from" in way:
        told.append(1 if before in _ROSE else -1)
    if not told and ("away" in way or "from" in way) and step.low != _MIDDLE:
        told.append(-1 if step.low > _MIDDLE else 1)
    return told[0] if told else 0


_MIDDLE = 3


_MOVING = frozenset({
    "up", "gone", "went", "goes", "risen", "rose", "climbed", "moved", "come", "came", "down", "dropped",
})


def _moved_from(tokens: Sequence[Token], i: int) -> bool:
    """"Gone up from mild to medium": the step at `i` is left for the next."""
    words = [t.text for t in tokens[max(0, i - 3) : i]]
    return words[-1:] == ["from"] and not _MOVING.isdisjoint(words)


def _or_amount(tokens: Sequence[Token], i: int) -> tuple[str, int] | None:
    """"or a hair under", "maybe with a little bit more on it", ", a shade over": an amount and a direction after."""
    words = [t.text for t in tokens[i : i + _AFTER]]
    opened = bool(words) and words[0] in ("or", "maybe", "perhaps")
    if not opened and words[:1] not in (["a"], ["just"], ["slightly"]):
        return None
    for k, word in enumerate(words[1:], start=1):
        ends = _ends(tokens, i + k + 1)
        if word in ("under", "below", "less", "short") and (opened or ends):
            return "below", i + k + 1
        if word in ("over", "above", "more") and (opened or ends):
            return "above", i + k + 1
        if word not in _AMOUNTS | _PART and word not in _OPENING:
            return None
    return None


_AFTER = 8
_OPENING = frozenset({
    "a", "an", "maybe", "perhaps", "or", "with", "there", "'s", "it", "step", "of", "even", "that", "is",
})


def _ends(tokens: Sequence[Token], i: int) -> bool:
    return i >= len(tokens) or tokens[i].breaks


_AMOUNTS = frozenset({
    "little", "bit", "touch", "hair", "shade", "notch", "tad", "just", "slightly", "whisker", "somewhat", "way",
    "degrees", "distance", "drop", "fraction", "smidge",
})


def _measured(tokens: Sequence[Token], i: int) -> bool:
    """"a little under medium": the amount belongs to "under", which then is a shape and no phrase of its own."""
    return tokens[i].text in ("under", "below", "above", "over", "past") and i > 0 and tokens[i - 1].text in _AMOUNTS


_THINKING = frozenset({"think", "suppose", "guess", "reckon", "believe"})
_SMALL = frozenset({
    "a", "the", "well", "like", "um", "maybe", "perhaps", "even", "just", "already", "in", "with", "one", "it", "'s",
})


def _part_of(words: Sequence[str]) -> bool:
    """"mild with a small bit of medium (in it)"."""
    return bool(words) and words[0] == "with" and words[-1] == "of" and bool(
        {"bit", "touch", "hint", "dash", "drop", "trace", "little"} & set(words)
    )


def _stands(tokens: Sequence[Token], hit: Hit[tuple[int, int]], not_before: frozenset[str]) -> bool:
    """"medium grey" and "a full inch" are no strengths."""
    if hit.last >= len(tokens) or tokens[hit.last].breaks:
        return True
    return tokens[hit.last].text not in not_before


def _tied(tokens: Sequence[Token], first: int, last: int) -> bool:
    between = [t.text for t in tokens[first:last]]
    return between in ([], ["a"], ["the"], ["of"], ["that"])


def read_expression(text: str, table: Mapping[str, Any]) -> tuple[int, int] | None:
    """[low, high] of a bare expression, or None. Of several steps the span."""
    steps = Scale(table).find(tokenise_text(text))
    if not steps:
        return None
    return min(s.low for s in steps), max(s.high for s in steps)
