"""Strength by its number on the speaker's own five steps: "one is mild and five is full, and this is a two".

The scale must be announced in the session, from one to five or as five steps or words, and must run from mild to full;
then a number told in the clause of a word for strength, or in a clause after it that says nothing else, is that step.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.subject import clauses
from voicedraft.read.scale import HIGH, LOW, Step
from voicedraft.read.strength.mention import STAGES, Mention
from voicedraft.read.strength.mentions import stands
from voicedraft.read.strength.stage import own_stage

_CARDINALS = {"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5}
_ORDINALS = {"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5}
_UNITS = frozenset({"step", "rung", "word", "degree", "grade", "mark", "level", "peg"})
_ENDING = frozenset({
    "now", "here", "not", "if", "at", "on", "for", "so", "and", "or", "maybe", "still", "out", "today",
})
_LEADS = frozenset({
    "a", "an", "at", "be", "is", "'s", "to", "say", "between", "and", "strength", "it", "or",
    "solid", "firm", "good",
})
_MOST_WORDS = 4
_MEANS = frozenset({"is", "'s", "being", "means", "for", "as"})
_POINTERS = frozenset({"this", "that", "the", "another", "last", "next", "each", "every"})
_TO = frozenset({"to", "through", "till"})
_CONDITIONS = frozenset({"if", "unless", "until", "till", "when", "should", "before"})
_THOUGHT = frozenset({"thought", "expected", "expecting", "guessed", "imagined", "hoped", "wanted", "feared"})
_SMALL = frozenset({
    "it", "'s", "is", "that", "this", "here", "now", "still", "and", "or", "but", "so", "a", "an", "at", "on", "in",
    "to", "of", "the", "my", "own", "scale", "be", "was", "for", "maybe", "perhaps", "say", "call", "put", "make",
    "i", "'d", "i'd", "'ll", "we", "me", "between", "somewhere", "about", "around", "just", "only", "well", "then",
    "today", "third", "yes", "yeah", "no", "not", "more", "less", "up", "down", "out", "wants", "becomes", "became",
    "rather", "almost", "nearly", "solid", "good", "firm", "strong", "low", "high", "even", "already", "she", "he",
    "reckon", "think", "guess", "part", "half", "one's", "if", "from", "gone", "has", "got", "getting", "going", "went",
    "them", "these", "those", "five", "as", "again",
    "sitting", "sits", "stands", "stays", "staying", "holding", "holds",
})
"""Words of a clause that says nothing but a number: our own list."""


def numbered(lines: Sequence[Line]) -> list[Mention]:
    """The mentions told by number, in order of speech; none where no scale of five was announced, or one reversed."""
    announced = [at for at in range(len(lines)) if _announces(lines, at)]
    if not announced or any(_reversed(line) for at in announced for line in lines[max(at - 1, 0) : at + 3]):
        return []
    out: list[Mention] = []
    for line in lines:
        stage = own_stage(line)
        about = line.has("strength.nouns") or line.has("strength.opens", 0, 4) or "scale" in line.vocabulary
        if stage not in STAGES or not (about or _goes_on(line, out)):
            continue
        told = _told(line, about)
        if told:
            values = [v for _, v in told]
            first, last = told[0][0], told[-1][0] + 1
            out.append(Mention(
                stage, min(values), max(values), line, first, last, 2 if about else 1, "number on the speaker's scale",
            ))
    return out


def _announces(lines: Sequence[Line], at: int) -> bool:
    """Whether the line tells of five steps of strength: "one to five", "one is mild and five is full", "five steps"."""
    line = lines[at]
    if not any(x.has("strength.nouns") or x.has("strength.opens", 0, 4) for x in lines[max(at - 1, 0) : at + 2]):
        return False
    low, high = list(_ends(line, "one", "1")), list(_ends(line, "five", "5"))
    meant = bool(low) and bool(high)
    worded = meant and any(x is not None for x in low) and any(x is not None for x in high)
    steps = any(a.text in ("five", "5") and b.text.rstrip("s") in _UNITS for a, b in pairwise(line.tokens))
    named = len({(s.low, s.high) for s in line.words.scale.find(line.tokens) if s.core}) >= _MOST_WORDS
    return _one_to_five(line) or worded or (meant and "scale" in line.vocabulary) or steps or named


def _one_to_five(line: Line) -> bool:
    """"From one to five", "1-5"; "one to five minutes" is no scale."""
    for i, token in enumerate(line.tokens):
        if token.text not in ("five", "5") or not i:
            continue
        joint = line.tokens[i - 1].text
        dashed = joint in ("one", "1") and token.gap in ("-", "–")
        spoken = i > 1 and line.tokens[i - 2].text in ("one", "1") and (
            joint in _TO or (joint == "and" and i > 2 and line.tokens[i - 3].text == "between")
        )
        if (dashed or spoken) and not _counts_things(line, i + 1):
            return True
    return False


def _counts_things(line: Line, i: int) -> bool:
    """Whether token `i` is what the number before it counts: "five minutes"."""
    if i >= len(line.tokens) or line.tokens[i].breaks or line.doc is None:
        return False
    token = line.tokens[i]
    if token.text == "scale" or token.text.rstrip("s") in _UNITS:
        return False
    return any(t.idx == token.start and t.pos_ == "NOUN" for t in line.doc)


def _ends(line: Line, *names: str) -> Iterator[float | None]:
    """The strength, 1 to 5, of each "one is mild" of the line; None where the words after it are none for strength."""
    for i, token in enumerate(line.tokens[:-2]):
        if token.text not in names or line.tokens[i + 1].text not in _MEANS:
            continue
        if i and line.tokens[i - 1].text in _POINTERS:
            continue
        found = [s for s in line.words.scale.find(line.tokens[i + 2 : i + 6]) if s.first <= 1]
        yield (found[0].low + found[0].high) / 2 if found else None


def _reversed(line: Line) -> bool:
    """"One is full and five is mild"."""
    middle = (LOW + HIGH) / 2
    return any(x is not None and x > middle for x in _ends(line, "one", "1")) or any(
        x is not None and x < middle for x in _ends(line, "five", "5")
    )


def _goes_on(line: Line, out: Sequence[Mention]) -> bool:
    """Another third told by its number alone: "it's a three now", where no flavour or score could have it."""
    alone = out and not line.words.flavours.any(line.tokens) and not any(line.other)
    return bool(alone) and line.section.endswith("_third") and out[-1].stage != own_stage(line)


def _told(line: Line, about: bool) -> list[tuple[int, int]]:
    """(token, step) of each number that is told of this cigar's strength; `about`: the line names strength."""
    out: list[tuple[int, int]] = []
    mine = _of_strength(line, about)
    for i, value in _numbers(line):
        if i not in mine or _explains(line, i) or not LOW <= value <= HIGH or not _stands(line, i, value):
            continue
        if out and (line.corrected(out[-1][0] + 1, i) or line.has("strength.struck", out[-1][0] + 1, i)):
            out = []
        out.append((i, value))
    return out


def _of_strength(line: Line, about: bool) -> set[int]:
    """Tokens of the clauses that name strength, and of those beside them that say nothing but a number."""
    nouns = {h.first for h in line.find("strength.nouns")} | {h.first for h in line.find("strength.opens", 0, 4)}
    spans = clauses(line)
    out: set[int] = set()
    mine = not about
    for k, (first, last) in enumerate(spans):
        named = any(first <= i < last for i in nouns)
        alone = _alone(line, first, last, nouns)
        follows = k + 1 < len(spans) and not mine and bool(nouns) and spans[k + 1][0] <= min(nouns) < spans[k + 1][1]
        scaled = "scale" in {t.text for t in line.tokens[first:last]}
        before = follows and _alone(line, *spans[k + 1], nouns)
        if named or (alone and (mine or scaled or before)):
            out |= set(range(first, last))
        mine = named or (mine and (alone or not _has_subject(line, first, last)))
    return out


def _alone(line: Line, first: int, last: int, nouns: set[int]) -> bool:
    """Whether tokens `[first, last)` say nothing but a number, and perhaps a word for strength."""
    return all(
        t.text in _SMALL or t.text in _CARDINALS or t.text in _ORDINALS or t.text in _UNITS or i in nouns
        for i, t in enumerate(line.tokens[first:last], first)
    )


def _has_subject(line: Line, first: int, last: int) -> bool:
    """Whether something else is spoken of in tokens `[first, last)`: "the draw is fine"."""
    if line.doc is None:
        return False
    low, high = line.tokens[first].start, line.tokens[last - 1].end
    words = [t for t in line.doc if low <= t.idx < high]
    return any(t.dep_ in ("nsubj", "nsubjpass") and t.pos_ in ("NOUN", "PROPN") for t in words)


def _stands(line: Line, i: int, value: int) -> bool:
    """Whether the number at token `i` is told of this cigar by the speaker, neither denied nor supposed."""
    first = i - 1 if i and line.tokens[i - 1].text in ("a", "an") and not line.tokens[i].breaks else i
    start, _ = line.clause(i)
    before = {t.text for t in line.tokens[start:i]}
    if not _CONDITIONS.isdisjoint(before) or not _THOUGHT.isdisjoint(before):
        return False
    return not any(line.other[first : i + 1]) and stands(line, Step(value, value, first, i + 1))


def _numbers(line: Line) -> Iterator[tuple[int, int]]:
    """(token, number) of each number that may name a step."""
    for i, token in enumerate(line.tokens):
        after = line.tokens[i + 1] if i + 1 < len(line.tokens) else None
        before = line.tokens[i - 1].text if i else ""
        ends = after is None or after.breaks
        if token.text in _ORDINALS and (
            (after is not None and after.text in _UNITS) or (ends and before in ("and", "between"))
            or (before == "between" and after is not None and after.text == "and")
        ):
            yield i, _ORDINALS[token.text]
        elif token.text in _CARDINALS and before in _LEADS and (ends or (after is not None and after.text in _ENDING)):
            yield i, _CARDINALS[token.text]


def _explains(line: Line, i: int) -> bool:
    """"One to five", "one is mild", "if one's mild and five's full"."""
    near = [t.text for t in line.tokens[i + 1 : i + 3]]
    lead = [t.text for t in line.tokens[max(i - 2, 0) : i]]
    return near[:1] in (["is"], ["'s"], ["to"], ["being"]) or (lead[-1:] == ["to"] and lead[:1] in (["one"], ["1"]))
