"""Rule: a mark told by another mark: "two below that", "half a point more than the draw", "level with the looks".

Which mark is meant is the aspect named after the turn, or the mark given last before it. Nothing is read where the
aspect marked so has a number of its own, or where the mark it is told by was not given.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voicedraft.read.scores.aside import set_aside
from voicedraft.read.scores.aspect import OVERALL
from voicedraft.read.scores.candidates import called, spans
from voicedraft.read.scores.comparison import Turn, turns
from voicedraft.read.scores.decide import LEVELS, Given, Told, place_of
from voicedraft.read.scores.line import Line, Words

_REACH = 6
"""Tokens between the turn and the aspect that it names; our own choice, no outside source."""
_BACK = 2
"""Sentences back to the mark that "that" means; our own choice, no outside source."""
_THOSE = frozenset({"those", "them"})
_THAT = frozenset({"that", "it", "this", "the"}) | _THOSE
_ONES = frozenset({"one", "last", "first", "other", "previous", "same", "mark", "score", "number", "two", "rest"})
"""What "the" may lead to where a mark is meant: "level with the last one", not "with the band"."""
_SURE = 3.0
"""Log-odds from which on a mark stands against a turn, though its sentence names no aspect; our own choice."""
_ODDS = 1.0
"""Log-odds that such a mark is shown with; it is a rule's."""


def told_by_others(rows: Sequence[Line], line: Line, out: dict[str, Given], words: Words) -> None:
    """Put the marks that the line tells by another one into `out`, the scores by aspect."""
    found = turns(line, words)
    for turn in found:
        if set_aside(line, turn.first, turn.end, words):
            continue
        aspect = _marked(rows, line, turn, len(found) == 1, words)
        other = _other(line, turn, aspect, [*out.values()], words)
        if aspect is None or other is None or aspect == other.aspect or aspect in LEVELS:
            continue
        own = out.get(aspect)
        if own is not None and not _gives_way(rows, own, line, turn, words):
            continue
        if own is not None and _open_ended(line, turn) and place_of(own)[0] < line.index:
            continue
        value = other.value * turn.times + turn.by
        if 0 <= value <= other.out_of:
            told = Told(line, turn.first, min(turn.end + 1, len(line.tokens)), f"told by {other.aspect}")
            out[aspect] = Given(aspect, value, other.out_of, _ODDS, (), None, None, told)
            _taken(out, out[aspect], line, turn)


def _taken(out: dict[str, Given], told: Given, line: Line, turn: Turn) -> None:
    """"The aroma's three up on the draw, so 87": the number that says the outcome is no mark of another aspect."""
    for given in [*out.values()]:
        outcome = given.mark is not None and given.mark.place > (line.index, turn.end) and given.value == told.value
        if outcome and given.mark is not None and given.mark.line.index == line.index and given.aspect == OVERALL:
            del out[given.aspect]


def _gives_way(rows: Sequence[Line], own: Given, line: Line, turn: Turn, words: Words) -> bool:
    """Whether the mark that the aspect has gives way to the turn.

    It is only the number in the turn ("two below that" is no two), it was given in an earlier sentence, it is the mark
    before carried over by "the same", or a later number that its own sentence does not say to be of the aspect.
    """
    at, first = place_of(own)
    if at == line.index:
        carried = own.mention is not None and own.mention.rule == "the same" and turn.times == 1.0
        carried = carried and (not turn.by or line.text(turn.first) in ("the", "same"))
        inside = own.told is None and turn.first <= first < turn.end
        return carried or inside or (_own_number(line, turn, words) is not None and own.told is None)
    turned = bool(rows[at].find(words.correction) or rows[at].find(words.amend))
    named = any(called(rows[at], s, words) == own.aspect for s in spans(rows[at], words))
    loose = own.mark is not None and not turned and not named
    return (at < line.index and (loose or turn.by != 0)) or (loose and own.odds < _SURE)


def _own_number(line: Line, turn: Turn, words: Words) -> float | None:
    """"Overall, I had sixteen on it, so one more than that": the number before the turn that "that" means, if any."""
    ends = turn.end + 1 >= len(line.tokens) or line.tokens[turn.end + 1].breaks
    stated = [n for n in line.numbers if n.last <= turn.first and not n.ordinal]
    pointing = line.text(turn.end) in ("that", "it") and line.joined(turn.end)
    alone = len(stated) == 1 and len({called(line, s, words) for s in spans(line, words)}) == 1
    return stated[0].value if alone and ends and pointing else None


def _open_ended(line: Line, turn: Turn) -> bool:
    """"For burn, five fewer.": the turn names no other mark, so the one given last is meant."""
    return turn.by != 0 and (turn.end >= len(line.tokens) or line.tokens[turn.end].breaks)


def _marked(rows: Sequence[Line], line: Line, turn: Turn, alone: bool, words: Words) -> str | None:
    """The aspect that the turn marks: named before it in the sentence, or after it, or asked for in the one before.

    alone: it is the sentence's only turn; one of several takes its aspect from its own clause.
    """
    before = [s for s in spans(line, words) if s[1] <= turn.first]
    here = [s for s in before if line.clause[s[0]] == line.clause[turn.first]]
    if not here and not alone:
        return None
    if before:
        own = before[0] if line.text(turn.end) in _THOSE and len(before) > 1 else before[-1]
        return called(line, own, words)
    after = [s for s in spans(line, words) if s[0] >= turn.end]
    if len(after) > 1 or (after and line.text(turn.end) in _THAT - {"the"}):
        return called(line, after[-1], words)
    if line.index and len(rows[line.index - 1].tokens) <= _REACH:
        asked = spans(rows[line.index - 1], words)
        if len(asked) == 1 and not rows[line.index - 1].numbers:
            return called(rows[line.index - 1], asked[0], words)
    return None


def _other(line: Line, turn: Turn, aspect: str | None, given: Sequence[Given], words: Words) -> Given | None:
    """The mark that the turn is measured from."""
    found = {g.aspect: g for g in given}
    named = [s for s in spans(line, words) if turn.end <= s[0] <= turn.end + _REACH]
    if named:
        return found.get(called(line, named[0], words))
    thing = line.text(turn.end) == "the" and line.text(turn.end + 1) not in _ONES
    if thing or (line.text(turn.end) not in _THAT and not _open_ended(line, turn)):
        return None
    stated = _own_number(line, turn, words)
    if stated is not None and aspect in found:
        return replace(found[aspect], aspect="", value=stated)
    if line.text(turn.end) in _THOSE:
        back = [called(line, s, words) for s in spans(line, words) if s[1] <= turn.first]
        told = [found[a] for a in back[::-1] if a in found and a != aspect]
        if told:
            return told[0]
    here = (line.index, turn.first)
    earlier = [g for g in given if place_of(g) < here and line.index - place_of(g)[0] <= _BACK and g.aspect != aspect]
    return max(earlier, key=place_of, default=None)
