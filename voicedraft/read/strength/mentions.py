"""Where strength is spoken of: each expression with its stage and how sure it is that strength is meant.

Body, weight, flavours and the finish have strengths of their own words and are left out, and so are other cigars.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.numbers.phrases import Hit
from voicedraft.read.numbers.tokens import Token
from voicedraft.read.scale import Step
from voicedraft.read.strength.mention import STAGES, Mention
from voicedraft.read.strength.moves import measures, moved
from voicedraft.read.strength.recap import WHOLE, climb, in_turn, lasts, recap, since_start, stages_in, throughout
from voicedraft.read.strength.stage import SECTION_STAGE, own_stage, settled
from voicedraft.read.strength.talk import (
    asked,
    claimed_by,
    concludes,
    of_a_part,
    of_a_thing,
    of_somebody,
    refines,
    refused,
    supposed,
)


def mentions(lines: Sequence[Line]) -> list[Mention]:
    """All mentions in order of speech."""
    out: list[Mention] = []
    running: str | None = None
    for at, line in enumerate(lines):
        own = settled(lines, at, own_stage(line))
        running = None if line.stage == "after" else own or running
        judged = _judged(line)
        stage = own or (settled(lines, at, running) if running and _tells(line, judged) else None)
        out += _read(line, stage, judged, out)
    return out


def remarks(lines: Sequence[Line], found: Sequence[Mention]) -> list[int]:
    """Indexes of the lines of one third that tell its strength, or how it stands to the third before."""
    told = {id(m.line) for m in found if m.detail not in WHOLE}
    return [k for k, line in enumerate(lines) if own_stage(line) and (id(line) in told or measures(line))]


def _judged(line: Line) -> list[tuple[Step, int]]:
    """The steps that mean this cigar's strength, with how sure that is."""
    steps = [p for s in line.words.scale.find(line.tokens) if not line.other[s.first] for p in _parted(line, s)]
    return [(s, w) for s in steps if not (_neither(line, s) or of_a_part(line, s)) and (w := _weight(line, s)) > 0]


def stands(line: Line, step: Step) -> bool:
    """Whether the speaker says the step of this cigar: not denied, only supposed, refused or said by somebody else."""
    unsaid = (_claimed, supposed, of_somebody, refused, claimed_by, _neither, _denied)
    return not line.other[step.first] and not any(rule(line, step) for rule in unsaid)


def _parted(line: Line, step: Step) -> list[Step]:
    """"Medium in strength, and full in body": two steps of two things, parted by a comma."""
    cuts = [i for i in range(step.first + 1, step.last) if line.tokens[i].breaks]
    if len(cuts) != 1 or _subject(line, step) != "body":
        return [step]
    bounds = ((step.first, cuts[0]), (cuts[0], step.last))
    return [
        replace(part, first=part.first + a, last=part.last + a)
        for a, b in bounds for part in line.words.scale.find(line.tokens[a:b])
    ]


def _read(line: Line, stage: str | None, judged: Sequence[tuple[Step, int]], out: Sequence[Mention]) -> list[Mention]:
    """What one sentence tells: of several thirds, of its own, or against the third before."""
    if judged and (stage is None or _of_several(line, stage, judged)):
        goes_on = bool(out) and line.index - out[-1].line.index == 1 and out[-1].detail in WHOLE
        told = line.section in _RECAPS or stage is not None
        several = in_turn(line) or climb(line) or recap(line, judged, goes_on) if told else []
        if several or stage is None:
            return several
    if stage is None or (line.section in _NEVER and not (judged and line.section == "background")):
        return []
    own = _told(line, stage, judged)
    if own is not None:
        before = STAGES[: STAGES.index(stage)] if since_start(line) else ()
        return [*(replace(own, stage=s, weight=0) for s in before), _goes_on(out, own)]
    against = moved(line, stage, out)
    return [against] if against is not None else []


_RECAPS = frozenset({"palate", "verdict", "burn", "aside"})
_NEVER = frozenset({"pairings", "value", "background", "prelight", "appearance"})


def _tells(line: Line, judged: Sequence[tuple[Step, int]]) -> bool:
    """Strength is named, or a step of its own is: the sentence is of the third in hand whatever its section is."""
    if line.section == "background":
        return any(s.core and w > 0 and (line.has("strength.nouns") or concludes(line, s)) for s, w in judged)
    if line.section in _NEVER:
        return False
    plain = any(s.core and w > 0 for s, w in judged) and line.section in ("aside", "burn")
    return line.has("strength.nouns") or plain


def _of_several(line: Line, stage: str | None, judged: Sequence[tuple[Step, int]]) -> bool:
    """Two thirds or all are named beside the word for strength, or a step for each of them."""
    noun = line.has("strength.nouns")
    if climb(line) or in_turn(line):
        return True
    if lasts(line) and not line.words.flavours.any(line.tokens) and all(s.core for s, _ in judged):
        return True
    if not noun and line.section not in ("palate", "verdict"):
        return False
    named = {s for stages in stages_in(line, 0, len(line.tokens)) for s in stages}
    cores = [s for s, w in judged if s.core and w]
    each = noun and not named and len(cores) == len(STAGES) and line.section not in SECTION_STAGE
    steady = noun and stage == STAGES[0] and throughout(line)
    return len(named) > 1 or lasts(line) or each or steady


def _goes_on(before: Sequence[Mention], told: Mention) -> Mention:
    """A bare step right after strength was spoken of goes on with it: "mild. Mild to medium, come on"."""
    last = before[-1] if before else None
    follows = last is not None and last.stage == told.stage and told.line.index - last.line.index <= 1
    if follows and last is not None and last.weight > told.weight == 1:
        return replace(told, weight=last.weight)
    return told


def _weight(line: Line, step: Step) -> int:
    """0 where no strength is meant; 3 beside a word for strength, 2 for an image, 1 for a bare step."""
    kind = _subject(line, step)
    own = step.core and concludes(line, step)
    if kind in ("body", "flavour") or _claimed(line, step) or supposed(line, step):
        return 0
    if _how_much(line, step) or _compared_with(line, step) or _explained(line, step):
        return 0
    if any(rule(line, step) for rule in (asked, of_somebody, refused, claimed_by, of_a_thing)):
        return 0
    if step.image:
        strong = {t.text for t in line.tokens[step.first : step.last]} & _PLAIN
        if strong and not line.has("strength.nouns"):
            return 0 if line.words.flavours.any(line.tokens) else 1
        return 2
    if kind == "strength" and (step.core or line.has("strength.nouns")):
        return 3
    plain = step.last - step.first == 1
    between = step.core and (step.low, step.high) not in ((1, 1), (3, 3), (5, 5))
    doubtful = plain and line.words.flavours.any(line.tokens) and not between
    if not step.core or (doubtful and not own and not _opening(line, step)):
        return 0
    return 1


_PLAIN = frozenset({"strong", "stronger", "weak", "heavy", "light", "mild"})


def _opening(line: Line, step: Step) -> bool:
    """"It's mild, I could have this with my oatmeal": the first clause says nothing but the step."""
    first = [t.text for t in line.tokens[: step.first]]
    ends = step.last == len(line.tokens) or line.tokens[step.last].breaks
    return ends and step.first <= 3 and not any(t.breaks for t in line.tokens[1 : step.last]) and first[:1] in (
        ["it"], ["that"], ["she"], ["he"], ["this"], ["still"],
    )


def _claimed(line: Line, step: Step) -> bool:
    """"The website says full, and what I've got is medium": the step stands in what others say of it."""
    first, last = line.clause(step.first)
    for hit in line.find("strength.claimed", 0, step.first):
        if hit.first >= first or (step.first - hit.last <= 2):
            return True
    return line.has("strength.claimed", step.last, min(last, step.last + 3))


def _subject(line: Line, step: Step) -> str | None:
    """What the step is said of: the word right after it, else the last such word before it, else the first after."""
    after: tuple[int, str] | None = None
    before: tuple[int, str] | None = None
    for kind, phrases in line.words.scale.subject.items():
        for hit in phrases.find(line.tokens):
            if step.first <= hit.first < step.last or _of_a_flavour(line, hit) or _the_end(line, hit):
                continue
            if hit.first >= step.last:
                if after is None or hit.first < after[0]:
                    after = (hit.first, kind)
            elif kind == "body" and _put_on(line, hit):
                continue
            elif before is None or hit.last > before[0]:
                before = (hit.last, kind)
    if after is not None and after[0] - step.last <= 1 and not _broken(line.tokens, step.last, after[0]):
        return after[1]
    opens = line.has("strength.opens", 0, 4)
    if before is not None and not (before[1] == "body" and opens and before[0] <= line.clause(step.first)[0]):
        return before[1]
    if opens or _how(line):
        return "strength"
    return after[1] if after is not None and after[1] == "strength" else None


def _put_on(line: Line, hit: Hit[str]) -> bool:
    """"Put on a bit of weight", "more weight than the first part", "no weight behind it": figures for strength."""
    before = [t.text for t in line.tokens[max(hit.first - 4, 0) : hit.first]]
    measured = before[-1:] == ["of"] and {"bit", "touch", "little", "lot"} & set(before)
    after = [t.text for t in line.tokens[hit.last : hit.last + 2]]
    force = after[:1] == ["behind"] and after[-1] in _IT
    return line.tokens[hit.first].text == "weight" and (
        force or before[-1:] in (["some"], ["on"], ["more"], ["six"], ["-"]) or bool(measured)
    )


_IT = frozenset({"it", "him", "her", "that", "this"})
_LOSING = frozenset({"loses", "losing", "lost", "gains", "gaining", "gathers", "gathering", "full"})


def _of_a_flavour(line: Line, hit: Hit[str]) -> bool:
    """"Strong" beside a flavour is the flavour's, and so is the strength that "the pepper is losing"."""
    lead = line.tokens[hit.first - 1].text if hit.first else ""
    own = hit.value in ("strong", "stronger") or lead in _LOSING
    return own and line.words.flavours.any(line.tokens)


_ENDS = frozenset({"one", "five", "1", "5"})
_FOLLOWS = frozenset({"and", "i", "we", "it", "this", "that", "then", "the", "so", "my"})
_MEANS = frozenset({"is", "'s", "being", "means"})


def _explained(line: Line, step: Step) -> bool:
    """"One is mild and five is full", "mild is one and full is five", "five is full" at the start of a sentence: they
    only tell the scale."""
    words = [t.text for t in line.tokens[max(step.first - 2, 0) : step.first]]
    both = not {"one", "1"}.isdisjoint(line.vocabulary) and not {"five", "5"}.isdisjoint(line.vocabulary)
    opens = step.first == len(words)
    after = [t.text for t in line.tokens[step.last : step.last + 2]]
    follower = line.tokens[step.last + 2] if step.last + 2 < len(line.tokens) else None
    closed = follower is None or follower.breaks or follower.text in _FOLLOWS
    if both and len(after) == 2 and after[0] in _MEANS and after[1] in _ENDS and closed:
        return True
    return (both or opens) and len(words) == 2 and words[0] in _ENDS and words[1] in _MEANS


def _compared_with(line: Line, step: Step) -> bool:
    """"More like skimmed milk than full"; "no less than full" is full."""
    words = [t.text for t in line.tokens[max(step.first - 3, 0) : step.first]]
    return words[-1:] == ["than"] and words[:-1] not in (["no", "less"], ["no", "more"], ["nothing", "less"])


def _how_much(line: Line, step: Step) -> bool:
    """"Hazelnut at moderate strength": how much of a flavour there is."""
    words = [t.text for t in line.tokens[max(step.first - 1, 0) : step.last + 1]]
    joined = words[:1] == ["at"] and (words[-1] == "strength" or line.tokens[step.last - 1].text == "strength")
    return joined and line.words.flavours.any(line.tokens)


_HOW = frozenset({"stout", "strong", "heavy", "powerful", "potent", "hard", "stiff", "big"})


def _how(line: Line) -> bool:
    """"Now for how stout it is, medium"."""
    texts = [t.text for t in line.tokens]
    return any(a == "how" and b in _HOW for a, b in pairwise(texts))


def _the_end(line: Line, hit: Hit[str]) -> bool:
    """"For the finish of it", "near the finish": where the smoke ends."""
    before = tuple(t.text for t in line.tokens[max(hit.first - 2, 0) : hit.first])
    after = [t.text for t in line.tokens[hit.last : hit.last + 2]]
    ends = before[:1] in (("at",), ("near",), ("towards",), ("by",)) or after == ["of", "it"]
    if line.tokens[hit.first].text != "finish":
        return False
    return before[-1:] == ("to",) or (before[1:] == ("the",) and ends)


def _broken(tokens: Sequence[Token], first: int, last: int) -> bool:
    return any(t.breaks for t in tokens[first : last + 1])


def _told(line: Line, stage: str, judged: Sequence[tuple[Step, int]]) -> Mention | None:
    """One mention of the sentence's steps: the last after a correction or a conclusion, else their span."""
    if not judged:
        return None
    top = max(w for _, w in judged)
    kept: list[Step] = []
    for step, weight in judged:
        if weight < top:
            continue
        if _denied(line, step):
            ceiling = _ceiling(line, step)
            if ceiling is None:
                continue
            step = ceiling
        if len(judged) > 1 and (_recalled(line, step) or _of_what_is_tasted(line, step, judged)):
            continue
        if kept and (
            line.corrected(kept[-1].last, step.first) or line.has("strength.struck", kept[-1].last, step.first)
            or _concludes(line, step) or concludes(line, step) or refines(line, kept[-1], step)
        ):
            kept = []
        if _left_behind(line, step) and (kept or _to_next(line, step, judged)):
            continue
        kept.append(_arrived(line, step))
    kept = [s for s in kept if s.core] or kept
    if not kept or len({(s.low, s.high) for s, _ in judged}) > 3:
        return None
    if any((s.low, s.high) == (kept[-1].low, kept[-1].high) for s in kept[:-1]):
        kept = kept[-1:]
    low, high = min(s.low for s in kept), max(s.high for s in kept)
    if high - low == 2 and len(kept) > 1 and line.has("strength.in_between", kept[-1].last):
        low = high = low + 1
    return Mention(stage, low, high, line, kept[0].first, kept[-1].last, top, _detail(kept))


def _detail(steps: Sequence[Step]) -> str:
    return "figure of speech for strength" if all(s.image for s in steps) else "strength words"


_DENIERS = frozenset({
    "not", "never", "n't", "without", "isn't", "wasn't", "no", "nor", "ain't", "nowhere", "didn't", "hasn't", "doesn't",
    "won't", "wouldn't", "don't", "neither",
})


_BOUNDING = frozenset({"less", "doubt", "question", "mistake", "mistaking", "argument"})
"""After "no": "no less than full" denies nothing."""


def _denied(line: Line, step: Step) -> bool:
    """"never did get to full", "without ever getting to full"."""
    if step.image:
        return False
    if [t.text for t in line.tokens[step.last : step.last + 2]] == ["would", "be"]:
        return True
    first = max(0, step.first - 6)
    for i in range(step.first - 1, first - 1, -1):
        if line.tokens[i].text in _DENIERS and line.tokens[i + 1].text not in _BOUNDING:
            return not line.tokens[i + 1].breaks
        if line.tokens[i + 1].breaks:
            return False
    return False


def _of_what_is_tasted(line: Line, step: Step, judged: Sequence[tuple[Step, int]]) -> bool:
    """"The pepper's mild but the strength is medium": a flavour's step before the word for strength and its own."""
    nouns = [h.first for h in line.find("strength.nouns") if h.first >= step.last]
    later = [s for s, _ in judged if nouns and s.first > nouns[0]]
    return bool(later) and line.words.flavours.any(line.tokens, 0, step.first)


def _to_next(line: Line, step: Step, judged: Sequence[tuple[Step, int]]) -> bool:
    """"From mild to medium": the next step is where it came to."""
    after = [s for s, _ in judged if s.first >= step.last]
    return bool(after) and [t.text for t in line.tokens[step.last : after[0].first]] in (["to"], ["into"])


_PAST = frozenset({"past", "over", "above", "beyond", "more"})


def _ceiling(line: Line, step: Step) -> Step | None:
    """"Never got past medium": medium is as far as it went."""
    if line.tokens[step.first].text not in _PAST:
        return None
    below = line.words.scale.find(line.tokens[step.first + 1 : step.last])
    one = len(below) == 1 and below[0].core
    return replace(step, low=below[0].low, high=below[0].high) if one else None


def _concludes(line: Line, step: Step) -> bool:
    before = [t.text for t in line.tokens[max(0, step.first - 8) : step.first]]
    if before[-1:] == ["like"] or before[-2:] == ["call", "it"]:
        return True
    return bool({"so", "plain", "less", "split", "settle", "settled", "settles", "meaning", "mean"} & set(before))


def _recalled(line: Line, step: Step) -> bool:
    """"It's medium-full, that other was full", "my daily, which is full": what was, beside what is."""
    before = [t.text for t in line.tokens[max(0, step.first - 2) : step.first]]
    return before in (["that", "was"], ["which", "is"], ["which", "was"], ["had", "been"], ["'d", "been"])


def _neither(line: Line, step: Step) -> bool:
    """"Neither mild nor full"."""
    return line.tokens[step.first - 1].text in ("neither", "nor") if step.first else False


def _arrived(line: Line, step: Step) -> Step:
    """"Gone up one step from mild, to mild-medium": only where it came to stands."""
    start = line.tokens[step.first - 1].text if step.first else ""
    if start != "from" or step.low == step.high or not line.has("strength.one_step"):
        return step
    at = step.low if line.has("strength.down", 0, step.first) else step.high
    return replace(step, low=at, high=at)


def _left_behind(line: Line, step: Step) -> bool:
    """"up from medium" tells where it was."""
    return step.first > 0 and line.tokens[step.first - 1].text == "from"
