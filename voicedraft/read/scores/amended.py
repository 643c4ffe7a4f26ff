"""Rule: a mark changed later: "that nine, make it eight and a half", "the draw, up a half", "take that down to seven".

Which mark is changed is told by its aspect or by its old value, or it is the one given just before.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voicedraft.read.scores.aside import counts_events, mark_called, set_aside
from voicedraft.read.scores.aspect import OVERALL
from voicedraft.read.scores.becoming import becomings
from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.comparison import amount, counts_things
from voicedraft.read.scores.conceded import conceded
from voicedraft.read.scores.decide import LEVELS, Given, Told, place_of
from voicedraft.read.scores.line import Line, Words
from voicedraft.read.scores.offered import only_offered, taken_offers
from voicedraft.read.scores.on_second_thought import second_thoughts
from voicedraft.read.scores.pointed import STAYING, held, repointed, unmoved
from voicedraft.read.scores.relative import told_by_others
from voicedraft.read.scores.reset import resets
from voicedraft.read.scores.steps import LAST, OTHER, Change, steps
from voicedraft.read.scores.than_said import than_said
from voicedraft.read.scores.topic import reopened_by_others, topic

_BACK = 1
"""Sentences back to the mark that "make it" changes; our own choice, no outside source."""
_SURE = 2.0
"""Log-odds from which on a new value is its own aspect's mark where the sentence names none; our own choice."""
_TOPIC = 6
"""Tokens between an aspect and the mark of it that is set aside; our own choice, no outside source."""
_PAIR, _TWO = 4, 2
"""Sentences back in which there are just two marks, where "the other one" is one; our own choice, no outside source."""
_ODDS = 1.0
"""Log-odds that a mark is shown with which only its change was heard; it is a rule's."""


def changes(rows: Sequence[Line], words: Words) -> list[list[Change]]:
    """Of every sentence the changes that it makes of marks, in order."""
    return [_changes(rows, line, words) if _counts(line, words) else [] for line in rows]


def _counts(line: Line, words: Words) -> bool:
    """Whether the sentence has a number, "a point" or "half", without which no mark changes."""
    return bool(line.numbers) or "half" in line.texts or not words.units.isdisjoint(line.texts)


def taken_over(
    rows: Sequence[Line], given: Sequence[Given], words: Words, made: Sequence[Sequence[Change]]
) -> frozenset[tuple[int, int]]:
    """Sentence and first token of the numbers that only change a mark or name it again: none of them is the mark of
    another aspect ("make that 82 an 85" after "all of it together is a 90"). made: what `changes` finds."""
    out: set[tuple[int, int]] = set()
    _amend(rows, given, words, made, out)
    return frozenset(out)


def amended(
    rows: Sequence[Line], given: Sequence[Given], words: Words, made: Sequence[Sequence[Change]]
) -> list[Given]:
    """The scores with those told by another mark among them, and every later change of a mark in its place, in the
    order in which they were said. made: what `changes` finds."""
    return sorted(_amend(rows, given, words, made, set()).values(), key=place_of)


def _amend(
    rows: Sequence[Line], given: Sequence[Given], words: Words, made: Sequence[Sequence[Change]],
    over: set[tuple[int, int]],
) -> dict[str, Given]:
    """The scores by aspect. `over` gets the places that `taken_over` tells of."""
    out = {g.aspect: g for g in given}
    said: set[float] = set()
    for line, turned in zip(rows, made, strict=True):
        for change in turned:
            old = _changed(rows, line, change, [*out.values()], words)
            if old is None:
                new = _first_heard(line, change, [*out.values()], words)
                out |= {new.aspect: new} if new is not None else {}
                _taken(out, line, change, new)
                continue
            if change.old is not None:
                over.add((line.index, change.old.first))
            if _used(out, line, change, old):
                over.add((line.index, change.at))
            _taken(out, line, change, old)
            value = change.value if change.value is not None else old.value + change.by
            if 0 <= value <= old.out_of and value != old.value:
                told = Told(line, change.first, change.last, f"changes the mark of {old.aspect}")
                out[old.aspect] = replace(old, value=value, mark=None, mention=None, signs=(), told=told)
        over.update((line.index, n.first) for n in held(line) if any(
            g.value == n.value and place_of(g)[0] < line.index for g in out.values()
        ))
        over.update((line.index, n.first) for pair in unmoved(line) if pair[0].value in said for n in pair)
        said.update(n.value for n in line.numbers)
        told_by_others(rows, line, out, words)
    return out


def _used(out: dict[str, Given], line: Line, change: Change, of: Given) -> bool:
    """Whether the new value was read as the mark of another aspect."""
    place = (line.index, change.at)
    return any(g.mark is not None and g.mark.place == place and g.aspect != of.aspect for g in out.values())


def _taken(out: dict[str, Given], line: Line, change: Change, of: Given | None) -> None:
    """The new value that a change sets is of one aspect, and a half that is added or taken is no mark at all."""
    for given in [*out.values()] if change.value is None else ():
        place = given.mark.place if given.mark is not None else (-1, -1)
        if place[0] == line.index and change.first <= place[1] < change.last and given.value < 1:
            del out[given.aspect]
    for given in [*out.values()] if of is not None and change.at >= 0 else ():
        read = given.mark is not None and given.mark.place == (line.index, change.at)
        if of is not None and given.aspect != of.aspect and read:
            del out[given.aspect]


def _changes(rows: Sequence[Line], line: Line, words: Words) -> list[Change]:
    if reopened_by_others(line, words):
        return []
    out = repointed(line, words) or conceded(rows, line, words) or taken_offers(rows, line, words)
    out = out or second_thoughts(rows, line, words)
    for found in (
        than_said(line, words), becomings(line, words), resets(line, words), _turns(line, words), steps(line, words)
    ):
        out += [c for c in found if not any(c.first < o.last and o.first < c.last for o in out)]
    offered = only_offered(rows[line.index : line.index + 2], words)
    kept = (
        c for c in out
        if not set_aside(line, c.first, c.last, words, changes=True) and not counts_events(line, c.first)
        and (line.index, c.at) not in offered
    )
    aim = LAST if mark_called(line, "last") else OTHER if mark_called(line, "other") else ""
    return sorted((replace(c, aim=aim) if aim and c.old is None else c for c in kept), key=lambda c: c.first)


def _turns(line: Line, words: Words) -> list[Change]:
    """"Bump it up half a star", "the draw, down one": the turns of the lexicon with an amount right after them."""
    out: list[Change] = []
    for phrases, sign in ((words.raised, 1.0), (words.lowered, -1.0)):
        for first, end in line.find(phrases):
            told = amount(line, end, words) if end - first > 1 or _plain(line, first) else None
            if told is not None and not any(c.first < told[0] and first < c.last for c in out):
                out.append(Change(first, told[0], None, sign * told[1]))
    return out


def _first_heard(line: Line, change: Change, given: Sequence[Given], words: Words) -> Given | None:
    """"Burn I had down as a six, I'm moving that to a seven": the mark that was set aside was not read, the new one is.

    The scale is that of the aspect marked nearest to it; the aspect is the only one that the sentence names.
    """
    named = set(_named(line, change, False, words))
    stated = [n for n in line.numbers if n.last <= change.at and not n.ordinal and n.value >= 1]
    if len(named) != 1 or len(stated) != 1 or change.value is None or not named.isdisjoint(LEVELS):
        return None
    aspect = named.pop()
    room = [g for g in given if g.out_of >= max(change.value, stated[0].value)]
    topic = any(0 <= stated[0].first - end <= _TOPIC for _, end in spans(line, words))
    if any(g.aspect == aspect for g in given) or not room or not topic or not line.noun_in(words.give):
        return None
    near = min(room, key=lambda g: abs(place_of(g)[0] - line.index))
    told = Told(line, change.first, change.last, f"sets the mark of {aspect} anew")
    return Given(aspect, change.value, near.out_of, _ODDS, (), None, None, told)


def _plain(line: Line, i: int) -> bool:
    """Whether a lone "up" or "down" moves a mark: "that's down one"; not "opens up, one of the best", "hands down"."""
    return line.text(i) not in ("up", "down") or (line.joined(i) and line.text(i - 1) in _MOVING)


_MOVING = frozenset({"that's", "it's", "'s", "is", "goes", "go", "going", "so", "it", "that"})


def _changed(
    rows: Sequence[Line], line: Line, change: Change, given: Sequence[Given], words: Words
) -> Given | None:
    """The mark that is changed, given before the change."""
    at = change.first if change.at < 0 else change.at
    here = (line.index, at)
    result = any(n.first >= change.last for n in line.numbers)
    first = (line.index, 0) if change.value is None and result else here
    earlier = [g for g in given if place_of(g) < first and not _explains(line, change, g)]
    if change.old is not None:
        return _pointed(line, change, earlier, words)
    found = {g.aspect: g for g in earlier}
    later = {g.aspect for g in given if place_of(g) >= here}
    stated = [n.value for n in line.numbers if n.last <= at and not n.ordinal]
    old = [g for g in earlier if g.value in stated]
    named = _named(line, change, len(old) == 1, words)
    sure = any(
        g.mark is not None and g.mark.place == here and g.odds > _SURE
        and not change.firm for g in given
    )
    if change.aim and found.keys().isdisjoint(named) and not sure:
        return _aimed(line, change, earlier)
    if named:
        known = [found[a] for a in named if a in found]
        return known[-1] if len({g.aspect for g in known}) == 1 and not later & set(named) else None
    if sure:
        return None
    if len(old) == 1:
        return old[0]
    if line.index == 0:
        return None
    before = [found[a] for a in (called(rows[line.index - 1], s, words) for s in spans(rows[line.index - 1], words))
              if a in found]
    before = [g for g in before if place_of(g)[0] == line.index - 1] or before
    if not (_strong(line, change, words) or line.noun(words)):
        return None
    between = rows[line.index - 1]
    counted = all(counts_things(between, n.last, words) for n in between.numbers)
    further = change.first <= 1 and counted and not spans(between, words) and line.section != "value"
    near = [g for g in earlier if line.index - place_of(g)[0] <= _BACK + further]
    return before[-1] if before else max(near, key=place_of, default=None)


def _aimed(line: Line, change: Change, earlier: Sequence[Given]) -> Given | None:
    """The mark that the change aims at without naming it; "the other one" is one of two given close before."""
    order = sorted(earlier, key=place_of)
    if change.aim == LAST:
        return order[-1] if order else None
    if change.aim == OTHER:
        near = [g for g in order if line.index - place_of(g)[0] <= _PAIR]
        return near[0] if len(near) == _TWO else None
    return next((g for g in order if g.aspect == change.aim), None)


def _pointed(line: Line, change: Change, earlier: Sequence[Given], words: Words) -> Given | None:
    """The one mark given before that has the old value; of several, the one whose aspect is named, or the one
    said last."""
    old = [g for g in earlier if change.old is not None and g.value == change.old.value]
    old = [g for g in old if place_of(g) < (line.index, change.first)]
    named = set(_named(line, change, True, words))
    start, _ = line.clause_range(line.clause[change.old.first]) if change.old is not None else (0, 0)
    own = [s for s in spans(line, words) if change.old is not None and start <= s[0] and s[1] <= change.old.first]
    if own and called(line, own[-1], words) == OVERALL and line.texts[own[-1][0] : own[-1][1]] not in _THINGS:
        old = [g for g in old if g.aspect == OVERALL]
    with_it = {called(line, s, words) for s in spans(line, words) if change.first <= s[0] < change.last}
    old = [g for g in old if not with_it or g.aspect in with_it]
    meant = [g for g in old if g.aspect in named] or ([] if named - {OVERALL} else old)
    meant.sort(key=place_of)
    apart = len(meant) > 1 and place_of(meant[-1])[0] > place_of(meant[-2])[0]
    return meant[-1] if len(meant) == 1 or apart else None


def _named(line: Line, change: Change, stated: bool, words: Words) -> list[str]:
    """The aspects that the sentence names; those after the change count in its clause, where no old value was stated.

    "The construction stays" changes nothing of it; "the cigar" and "the smoke" are spoken of without being marked, and
    "I can still taste it" names no aspect."""
    found = [s for s in spans(line, words) if line.texts[s[0] : s[1]] not in _THINGS]
    found = [s for s in found if line.pos[s[1] - 1] != "VERB"] or found
    found = [s for s in found if not (line.joined(s[1]) and line.text(s[1]) in STAYING)]
    about = topic(line, words)
    if about is not None:
        return [about]
    before = [s for s in found if s[0] < change.last]
    here = [s for s in found if line.clause[s[0]] == line.clause[change.first]]
    return [called(line, s, words) for s in (before if before or stated else here)]


_THINGS = frozenset({("the", "cigar"), ("this", "cigar"), ("the", "smoke"), ("the", "whole", "smoke")})


def _explains(line: Line, change: Change, old: Given) -> bool:
    """"Nine out of ten, I take the one off for the draw", "83, the middle's pulled it up three": the amount tells why
    the mark of the same sentence is what it is."""
    if change.value is not None or place_of(old)[0] != line.index:
        return False
    start, _ = line.clause_range(line.clause[change.first])
    told = any(line.tags[i] in ("VBD", "VBN") for i in range(start, change.first))
    return told or old.value - change.by == old.out_of


def _strong(line: Line, change: Change, words: Words) -> bool:
    """Whether the turn itself speaks of marks: "make it", "bump it up", "a point"."""
    told = line.texts[change.first : change.last]
    return told[0] in _STRONG or not words.units.isdisjoint(told)


_STRONG = frozenset({
    "make", "making", "bump", "raise", "lift", "put", "knock", "dock", "shave", "trim", "change", "revise",
})
