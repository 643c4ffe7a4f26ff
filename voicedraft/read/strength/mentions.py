"""Where strength is spoken of: each expression with its stage and how sure it is that strength is meant.

Body, weight, flavours and the finish have strengths of their own words and are left out, and so are other cigars.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from voicedraft.lexicon import Lexicon
from voicedraft.read.facts.context import Line
from voicedraft.read.numbers.phrases import Phrases
from voicedraft.read.numbers.tokens import Token
from voicedraft.read.strength.expressions import Scale, Step

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


def mentions(lines: Sequence[Line], scale: Scale, lexicon: Lexicon) -> list[Mention]:
    """All mentions in order of speech."""
    flavours = Phrases({f: 1 for f, form in lexicon.forms.items() if not form.term.ambiguous})
    out: list[Mention] = []
    for line in lines:
        stage = _SECTION_STAGE.get(line.section) or (line.stage if line.stage in STAGES else None)
        steps = [s for s in scale.find(line.tokens) if not line.other[s.first]]
        if not steps:
            continue
        judged = [(s, w) for s in steps if (w := _weight(line, s, scale, flavours)) > 0]
        if stage is not None and line.section not in ("pairings", "value", "background", "prelight", "appearance"):
            told = _told(line, stage, judged)
            out += [told] if told else []
        elif line.section in ("palate", "verdict", "burn", "aside"):
            out += _recap(line, judged)
    return out


def _weight(line: Line, step: Step, scale: Scale, flavours: Phrases[int]) -> int:
    """0 where no strength is meant; 3 beside a word for strength, 2 for an image, 1 for a bare step."""
    kind = _subject(line, step, scale)
    if kind in ("body", "flavour"):
        return 0
    if step.image:
        return 2
    if kind == "strength":
        return 3
    if not step.core or flavours.any(line.tokens):
        return 0
    return 1


def _subject(line: Line, step: Step, scale: Scale) -> str | None:
    """What the step is said of: the word right after it, else the last such word before it, else the first after."""
    after: tuple[int, str] | None = None
    before: tuple[int, str] | None = None
    for kind, phrases in scale.subject.items():
        for hit in phrases.find(line.tokens):
            if step.first <= hit.first < step.last:
                continue
            if hit.first >= step.last:
                if after is None or hit.first < after[0]:
                    after = (hit.first, kind)
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
    if not kept:
        return None
    low, high = min(s.low for s in kept), max(s.high for s in kept)
    return Mention(stage, low, high, line, kept[0].first, kept[-1].last, top, _detail(kept))


def _detail(steps: Sequence[Step]) -> str:
    return "figure of speech for strength" if all(s.image for s in steps) else "strength words"


_DENIERS = frozenset({"not", "never", "n't", "without", "isn't", "wasn't", "no", "nor", "ain't", "nowhere", "didn't", "hasn't", "doesn't"})


def _denied(line: Line, step: Step) -> bool:
    """"never did get to full", "without ever getting to full"."""
    if step.image:
        return False
    first = max(0, step.first - 6)
    for i in range(step.first - 1, first - 1, -1):
        if line.tokens[i].text in _DENIERS:
            return not (line.tokens[i].text == "no" and line.tokens[i + 1].breaks)
        if line.tokens[i + 1].breaks:
            return False
    return False


def _concludes(line: Line, step: Step) -> bool:
    before = [t.text for t in line.tokens[max(0, step.first - 8) : step.first]]
    return "so" in before or before[-2:] == ["call", "it"] or "plain" in before or "less" in before


def _left_behind(line: Line, step: Step) -> bool:
    """"up from medium" tells where it was."""
    return step.first > 0 and line.tokens[step.first - 1].text == "from"


_STAGE_WORDS = {
    "first": ("first", "start", "started", "starts", "begins", "began", "opening", "beginning", "opened", "outset"),
    "second": ("second", "middle", "halfway", "midway", "mid"),
    "final": ("final", "last", "end", "ended", "ends", "close", "finishes", "finished", "finishing", "third"),
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
        return [Mention(s, step.low, step.high, line, step.first, step.last, 1, "said of the whole smoke") for s in STAGES]
    out = []
    for k, (step, _) in enumerate(told):
        first = told[k - 1][0].last if k else 0
        last = told[k + 1][0].first if k + 1 < len(told) else len(line.tokens)
        stage = _stage_near(line, step, first, last)
        if stage is not None:
            out.append(Mention(stage, step.low, step.high, line, step.first, step.last, 1, "recap"))
    return out


def _strength_line(line: Line) -> bool:
    return any(t.text in ("strength", "strong", "nicotine", "power") for t in line.tokens)


def _stage_near(line: Line, step: Step, first: int, last: int) -> str | None:
    best: tuple[int, str] | None = None
    for i in range(first, last):
        for stage, words in _STAGE_WORDS.items():
            if line.tokens[i].text in words:
                distance = step.first - i if i < step.first else 2 * (i - step.last + 1)
                if best is None or distance < best[0]:
                    best = (distance, stage)
    return best[1] if best else None
