"""Where strength is spoken of: each expression with its stage and how sure it is that strength is meant.

Body, weight, flavours and the finish have strengths of their own words and are left out, and so are other cigars.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from voicedraft.read.facts.context import Line
from voicedraft.read.numbers.tokens import Token
from voicedraft.read.scale import Step

STAGES = ("first", "second", "final")
_SECTION_STAGE = {"first_third": "first", "second_third": "second", "final_third": "final"}


@dataclass(frozen=True, slots=True)
class Mention:
    """Strength [low, high] of a stage, at tokens `[first, last)` of a line. The heaviest mention of a stage stands."""

    stage: str
    low: int
    high: int
    line: Line
    first: int
    last: int
    weight: int
    detail: str


def mentions(lines: Sequence[Line]) -> list[Mention]:
    """All mentions in order of speech."""
    out: list[Mention] = []
    for line in lines:
        stage = _SECTION_STAGE.get(line.section) or (line.stage if line.stage in STAGES else None)
        steps = [s for s in line.words.scale.find(line.tokens) if not line.other[s.first]]
        if not steps:
            moved = _moved(line, stage, out)
            out += [moved] if moved else []
            continue
        judged = [(s, w) for s in steps if (w := _weight(line, s)) > 0]
        if stage is not None and line.section not in ("pairings", "value", "background", "prelight", "appearance"):
            told = _told(line, stage, judged)
            out += [_goes_on(out, told)] if told else []
        elif line.section in ("palate", "verdict", "burn", "aside"):
            out += _recap(line, judged)
    return out


_UP_ONE = ("up a notch", "up a step", "one step up", "a notch up", "a step up", "a notch stronger", "one notch up", "up one notch", "up one step",
           "a notch higher", "a step higher", "one step higher", "one notch higher")
_SAME = ("unchanged", "the same", "same as before", "no change", "hasn't moved", "hasn't budged", "hasn't changed", "steady", "where it was",
         "same as it was", "same again", "constant", "stayed put", "holding", "no different")


def _moved(line: Line, stage: str | None, before: Sequence[Mention]) -> Mention | None:
    """Strength told against the third before: "up a notch", "the same"."""
    if stage not in STAGES[1:] or not any(t.text in ("strength", "power", "nicotine", "force") for t in line.tokens):
        return None
    earlier = STAGES[STAGES.index(stage) - 1]
    last = next((m for m in reversed(before) if m.stage == earlier), None)
    at = next(i for i, t in enumerate(line.tokens) if t.text in ("strength", "power", "nicotine", "force"))
    text = " ".join(t.text for t in line.tokens[at : at + 10])
    if last is None:
        return None
    if any(p in text for p in _UP_ONE):
        return Mention(stage, min(5, last.low + 1), min(5, last.high + 1), line, at, at + 1, 1, "one step above the third before")
    if any(p in text for p in _SAME):
        return Mention(stage, last.low, last.high, line, at, at + 1, 1, "as in the third before")
    return None


def _goes_on(before: Sequence[Mention], told: Mention) -> Mention:
    """A bare step right after strength was spoken of goes on with it: "mild, I'd have said. Mild to medium, come on." """
    last = before[-1] if before else None
    follows = last is not None and last.stage == told.stage and told.line.index - last.line.index <= 1
    if follows and last is not None and last.weight > told.weight == 1:
        return replace(told, weight=last.weight)
    return told


def _weight(line: Line, step: Step) -> int:
    """0 where no strength is meant; 3 beside a word for strength, 2 for an image, 1 for a bare step."""
    kind = _subject(line, step)
    if kind in ("body", "flavour"):
        return 0
    if step.image:
        return 2
    if kind == "strength" and (step.core or any(t.text in _NOUNS for t in line.tokens)):
        return 3
    if not step.core or line.words.flavours.any(line.tokens):
        return 0
    return 1


_NOUNS = frozenset({"strength", "force", "power", "nicotine", "nic", "potency"})


def _subject(line: Line, step: Step) -> str | None:
    """What the step is said of: the word right after it, else the last such word before it, else the first after."""
    after: tuple[int, str] | None = None
    before: tuple[int, str] | None = None
    for kind, phrases in line.words.scale.subject.items():
        for hit in phrases.find(line.tokens):
            if step.first <= hit.first < step.last:
                continue
            if hit.first >= step.last:
                if after is None or hit.first < after[0]:
                    after = (hit.first, kind)
            elif kind == "body" and line.tokens[hit.first - 1].text in ("some", "on", "more"):
                continue
            elif before is None or hit.last > before[0]:
                before = (hit.last, kind)
    if after is not None and after[0] - step.last <= 1 and not _broken(line.tokens, step.last, after[0]):
        return after[1]
    if before is not None:
        return before[1]
    return after[1] if after is not None and after[1] == "strength" else None


def _broken(tokens: Sequence[Token], first: int, last: int) -> bool:
    return any(t.breaks for t in tokens[first : last + 1])


def _told(line: Line, stage: str, judged: Sequence[tuple[Step, int]]) -> Mention | None:
    """One mention of the sentence's steps: the last after a correction or a conclusion, else their span."""
    if not judged:
        return None
    top = max(w for _, w in judged)
    kept: list[Step] = []
    for step, weight in judged:
        if weight < top or _denied(line, step):
            continue
        if kept and (line.corrected(kept[-1].last, step.first) or _concludes(line, step)):
            kept = []
        if kept and _left_behind(line, step):
            continue
        kept.append(step)
    if not kept or len({(s.low, s.high) for s, _ in judged}) > 3:
        return None
    if any((s.low, s.high) == (kept[-1].low, kept[-1].high) for s in kept[:-1]):
        kept = kept[-1:]
    low, high = min(s.low for s in kept), max(s.high for s in kept)
    return Mention(stage, low, high, line, kept[0].first, kept[-1].last, top, _detail(kept))


def _detail(steps: Sequence[Step]) -> str:
    return "figure of speech for strength" if all(s.image for s in steps) else "strength words"


_DENIERS = frozenset({"not", "never", "n't", "without", "isn't", "wasn't", "no", "nor", "ain't", "nowhere", "didn't", "hasn't", "doesn't"})


def _denied(line: Line, step: Step) -> bool:
    """"never did get to full", "without ever getting to full"."""
    if step.image:
        return False
    if [t.text for t in line.tokens[step.last : step.last + 2]] == ["would", "be"]:
        return True
    first = max(0, step.first - 6)
    for i in range(step.first - 1, first - 1, -1):
        if line.tokens[i].text in _DENIERS:
            return not (line.tokens[i].text == "no" and line.tokens[i + 1].breaks)
        if line.tokens[i + 1].breaks:
            return False
    return False


def _concludes(line: Line, step: Step) -> bool:
    before = [t.text for t in line.tokens[max(0, step.first - 8) : step.first]]
    return before[-1:] == ["like"] or "so" in before or before[-2:] == ["call", "it"] or "plain" in before or "less" in before


def _left_behind(line: Line, step: Step) -> bool:
    """"up from medium" tells where it was."""
    return step.first > 0 and line.tokens[step.first - 1].text == "from"


_STAGE_WORDS = {
    "first": ("first", "start", "started", "starts", "begins", "began", "opening", "beginning", "opened", "outset"),
    "second": ("second", "middle", "halfway", "midway", "mid"),
    "final": ("final", "last", "end", "ended", "ends", "close", "finishes", "finished", "finishing", "finale"),
}
_ALL = ("throughout", "all the way", "start to finish", "from end to end", "the whole way", "whole way", "from first to last",
        "never changed", "never moved", "whole smoke", "all three", "beginning to end", "from start")


def _recap(line: Line, judged: Sequence[tuple[Step, int]]) -> list[Mention]:
    """Strength told of several thirds at once, after the smoke: "mild at the start, medium after, full at the end"."""
    told = [(s, w) for s, w in judged if w >= 3 or s.core and w and _strength_line(line)]
    if not told:
        return []
    text = " ".join(t.text for t in line.tokens)
    if any(p in text for p in _ALL) and len({(s.low, s.high) for s, _ in told}) == 1:
        step = told[0][0]
        return [Mention(s, step.low, step.high, line, step.first, step.last, 2, "said of the whole smoke") for s in STAGES]
    out = []
    ahead = _stage_in(line, 0, told[0][0].first) is not None
    for k, (step, _) in enumerate(told):
        first = told[k - 1][0].last if k else 0
        last = told[k + 1][0].first if k + 1 < len(told) else len(line.tokens)
        stage = _stage_in(line, first, step.first) if ahead else _stage_in(line, step.last, last)
        if stage is not None:
            out.append(Mention(stage, step.low, step.high, line, step.first, step.last, 2, "recap"))
    return out


def _strength_line(line: Line) -> bool:
    return any(t.text in ("strength", "strong", "nicotine", "power") for t in line.tokens)


def _stage_in(line: Line, first: int, last: int) -> str | None:
    """The first third that tokens `[first, last)` name: "in the middle", "at the end"."""
    for token in line.tokens[first:last]:
        for stage, words in _STAGE_WORDS.items():
            if token.text in words:
                return stage
    return None
