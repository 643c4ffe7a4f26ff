"""Strength told of several thirds at once: "mild at the start, medium after, full at the end"."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.scale import Step
from voicedraft.read.strength.mention import STAGES, Mention
from voicedraft.read.strength.stage import measured, wished

WHOLE = frozenset({"said of the whole smoke", "recap"})


def recap(line: Line, judged: Sequence[tuple[Step, int]], goes_on: bool = False) -> list[Mention]:
    """Strength told of several thirds at once: "mild at the start, medium after, full at the end".

    `goes_on` where the sentence before was such a one: "no, in the last third it goes to medium-full".
    """
    about = goes_on or line.has("strength.nouns") or throughout(line)
    told = [(s, w) for s, w in judged if w >= 3 or (s.core and w and about)]
    if not told:
        return []
    named = stages_in(line, 0, len(line.tokens))
    if throughout(line) and len({(s.low, s.high) for s, _ in told}) == 1 and not _halves(named):
        step = told[0][0]
        return [
            Mention(s, step.low, step.high, line, step.first, step.last, 2, "said of the whole smoke") for s in STAGES
        ]
    if len(told) == len(STAGES) and not named:
        return [
            Mention(stage, s.low, s.high, line, s.first, s.last, 2, "recap")
            for stage, (s, _) in zip(STAGES, told, strict=True)
        ]
    out = []
    ahead = bool(stages_in(line, 0, told[0][0].first))
    for k, (step, _) in enumerate(told):
        first = told[k - 1][0].last if k else 0
        last = told[k + 1][0].first if k + 1 < len(told) else len(line.tokens)
        named = stages_in(line, first, step.first)[-1:] if ahead else []
        named = named or stages_in(line, step.last, last)[:1]
        out += [
            Mention(stage, step.low, step.high, line, step.first, step.last, 3 if goes_on else 2, "recap")
            for stage in (named[0] if named else ())
        ]
    return out


_RUNGS = {"mild": 1, "light": 1, "medium": 3, "full": 5, "strong": 5}
_PATH = frozenset({"to", "then", "and", "into", "through", "finally", "on", "from", "up", "goes", "a", "at", "end"})


def climb(line: Line) -> list[Mention]:
    """"From mild to medium to full": a step for each third, told in one breath of strength or of the thirds.

    "Between mild to medium and medium" is one place between two steps.
    """
    at = [i for i, t in enumerate(line.tokens) if t.text in _RUNGS]
    if len(at) != len(STAGES) or not (line.has("strength.nouns") or lasts(line)):
        return []
    if any(line.tokens[i].text in ("between", "betwixt") for i in range(max(at[0] - 2, 0), at[0])):
        return []
    joined = all(
        b > a + 1 and {t.text for t in line.tokens[a + 1 : b]} <= _PATH for a, b in pairwise(at)
    )
    if not joined or line.other[at[0]]:
        return []
    return [
        Mention(stage, _RUNGS[line.tokens[i].text], _RUNGS[line.tokens[i].text], line, i, i + 1, 2, "recap")
        for stage, i in zip(STAGES, at, strict=True)
    ]


def in_turn(line: Line) -> list[Mention]:
    """"Strength went mild, then medium, then medium-full": three steps in turn."""
    turns = [i for i, t in enumerate(line.tokens) if t.text == "then"]
    if len(turns) != len(STAGES) - 1 or not line.has("strength.nouns"):
        return []
    bounds = [0, *turns, len(line.tokens)]
    told = [line.words.scale.find(line.tokens[a:b]) for a, b in pairwise(bounds)]
    if any(len(steps) != 1 or not steps[0].core or line.other[a] for steps, a in zip(told, bounds, strict=False)):
        return []
    return [
        Mention(stage, s[0].low, s[0].high, line, a + s[0].first, a + s[0].last, 2, "recap")
        for stage, s, a in zip(STAGES, told, bounds, strict=False)
    ]


_POINTS = frozenset({"start", "off", "beginning", "outset", "puff", "light", "opening", "word"})


def since_start(line: Line) -> bool:
    """"It was that from the start", "from the beginning until here": the thirds before are told too."""
    for i, token in enumerate(line.tokens):
        if token.text in ("from", "since") and not line.has("strength.up") and not line.has("strength.down"):
            after = [t.text for t in line.tokens[i + 1 : i + 4]]
            if after[:1] in (["the"], ["its"]) and not _POINTS.isdisjoint(after) and not wished(line, i):
                return True
    return False


def throughout(line: Line) -> bool:
    """"The whole way", or "from the off, and it never shifted"."""
    if lasts(line) or _to_the_last(line):
        return True
    return any(line.has("strength.not", max(0, h.first - 4), h.first) for h in line.find("strength.move"))


def lasts(line: Line) -> bool:
    """"Medium all the way"; not "I wouldn't go all the way to full", which is how far it goes."""
    return any(
        hit.last >= len(line.tokens) or line.tokens[hit.last].breaks
        or [t.text for t in line.tokens[hit.last - 1 : hit.last + 1]] != ["way", "to"]
        or not line.words.scale.find(line.tokens[hit.last + 1 : hit.last + 1 + _GOAL])
        for hit in line.find("strength.throughout")
    )


_GOAL = 4
"""Tokens after "all the way to" that may name a step; our own choice, no outside source."""


def _to_the_last(line: Line) -> bool:
    """"First puff to the last"."""
    texts = [t.text for t in line.tokens]
    return any(a == "first" and "last" in texts[i + 1 : i + 6] and "to" in texts[i + 1 : i + 4]
               for i, a in enumerate(texts))


def _halves(named: Sequence[tuple[str, ...]]) -> bool:
    """Two thirds are named together: "the first two thirds"."""
    return any(len(stages) > 1 for stages in named)


def _of_a_range(line: Line, i: int) -> bool:
    """"The second half of that range"."""
    return [t.text for t in line.tokens[i : i + 2]] in (["half", "of"], ["end", "of"])


def stages_in(line: Line, first: int, last: int) -> list[tuple[str, ...]]:
    """The thirds that tokens `[first, last)` name, in order: "in the middle", "for the first two thirds"."""
    found = [
        (h.first, (stage,)) for stage in STAGES for h in line.find(f"strength.{stage}", first, last)
        if not measured(line, h.first) and not _of_a_range(line, h.last)
    ]
    pairs = [(h.first, STAGES[:2]) for h in line.find("strength.first_two", first, last)]
    pairs += [(h.first, STAGES[1:]) for h in line.find("strength.last_two", first, last)]
    whole: list[tuple[int, tuple[str, ...]]] = [*pairs, *(f for f in found if f[0] not in {p for p, _ in pairs})]
    return [stages for _, stages in sorted(whole)]
