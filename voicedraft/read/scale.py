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

    def _at(self, tokens: Sequence[Token], i: int) -> Step | None:
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
        if step.low != step.high or step.image:
            return step
        whole = _whole_step(tokens, step.first)
        if whole:
            value = min(HIGH, max(LOW, step.low + whole))
            return replace(step, low=value, high=value, first=step.first - 3)
        before = self._ending(tokens, step.first)
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
        if a.image or b.image or not (a.core and b.core):
            return None
        low, high = min(a.low, b.low), max(a.high, b.high)
        words = [t.text for t in tokens[a.last : b.first]]
        between = [h for h in self.between.find(tokens, max(0, a.first - 4), a.first)]
        if between and words == ["and"]:
            inner = (a.high + 1, b.low - 1) if b.low - a.high == 2 else (low, high)
            return replace(a, low=inner[0], high=inner[1], first=between[0].first, last=b.last)
        if _part_of(words):
            return replace(a, low=a.low, high=min(HIGH, a.low + 1), last=b.last)
        if len(words) <= 6 and self._covers(tokens, a.last, b.first):
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


def _whole_step(tokens: Sequence[Token], i: int) -> int:
    """1 for "a step above", -1 for "one step below" right before token `i`, else 0."""
    words = [t.text for t in tokens[max(0, i - 3) : i]]
    if len(words) == 3 and words[0] in ("a", "one") and words[1] == "step":
        return {"above": 1, "over": 1, "up": 0, "below": -1, "under": -1}.get(words[2], 0)
    return 0


def _or_amount(tokens: Sequence[Token], i: int) -> tuple[str, int] | None:
    """"or a hair under", "maybe a shade more": an amount and a direction after the step."""
    words = [t.text for t in tokens[i : i + 5]]
    if not words or words[0] not in ("or", "maybe", "perhaps"):
        return None
    for k, word in enumerate(words[1:], start=1):
        if word in ("under", "below", "less", "short"):
            return "below", i + k + 1
        if word in ("over", "above", "more"):
            return "above", i + k + 1
        if word not in _AMOUNTS and word not in ("a", "an", "maybe", "perhaps", "or"):
            return None
    return None


_AMOUNTS = frozenset({
    "little", "bit", "touch", "hair", "shade", "notch", "tad", "just", "slightly", "whisker", "somewhat",
})


def _measured(tokens: Sequence[Token], i: int) -> bool:
    """"a little under medium": the amount belongs to "under", which then is a shape and no phrase of its own."""
    return tokens[i].text in ("under", "below", "above", "over", "past") and i > 0 and tokens[i - 1].text in _AMOUNTS


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
