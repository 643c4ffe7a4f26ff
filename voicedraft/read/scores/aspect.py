"""Rule: what a score is of: an aspect beside it, the third it closes, the remarks it stands among, or the whole."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from voicedraft.read.numbers.cardinal import Number
from voicedraft.read.scores.line import Line, Words

OVERALL = "overall"
_MONEY = frozenset({
    "money", "price", "priced", "worth", "value", "cost", "costs", "pay", "paid", "cheap", "expensive", "dear",
    "bargain",
})
_LEADS = frozenset({
    "the", "for", "on", "its", "then", "so", "and", "as", "my", "in", "now", "but", "actually", "ok", "okay", "or",
    "no", "well", "next", "also", "mark", "marks", "score", "scores",
})
_MOVES = frozenset({
    "drops", "drags", "pulls", "costs", "knocks", "brings", "lifts", "pushes", "keeps", "holds", "takes", "cost",
    "dropped", "dragged", "pulled", "knocked", "brought", "lifted", "pushed", "kept", "held", "took", "saves",
    "saved", "spoils",
})
"""What an aspect does to the whole score: "the burn drops it to seven"."""
_BLAMES = frozenset({"there", "because", "despite", "but"})
"""What only brings an aspect up: "but there's the burn, so three and a half"."""
_AFTER_REACH = 5
"""Words between a score and the aspect named after it ("four out of five, then, for the draw")."""
_HEADING = 10
"""Words at most in a question that names an aspect; half of it in a heading."""
TIGHT = 4
"""Words at most between an aspect and its score in a list ("Construction I'd put at three")."""
_BACK_LINES = 4
"""Sentences to look back in the same section for what "it" is."""
_THIRDS = {"first_third": "first third", "second_third": "second third", "final_third": "final third"}
_OF_SECTION = {"value": "value", "appearance": "appearance", "burn": "burn"}


def name(line: Line, span: tuple[int, int], words: Words) -> str:
    """The aspect's usual name for a form found at `span`."""
    said = " ".join(t.text for t in line.tokens[span[0] : span[1]])
    said = words.means.get(said, said)
    return "flavour" if said == "flavours" else "flavor" if said == "flavors" else said


def named_after(line: Line, last: int, stop: int, words: Words) -> str | None:
    """"… for the draw", "… on burn" right after the score, before the next number at `stop`."""
    end = min(last + _AFTER_REACH, stop)
    for span in line.find(words.named, last, end):
        between = [line.text(j) for j in range(last, span[0] + (line.text(span[0]) in ("for", "on")))]
        leads = [w for w in between if w in ("for", "on", "to")]
        if _of_the_next(line, last, stop, span):
            return None
        if leads and not any(line.tokens[j].breaks for j in range(last + 1, span[0] + 1)):
            whole = tuple(t.text for t in line.tokens[span[0] : span[1]]) in words.overall
            return OVERALL if whole else name(line, span, words)
    return None


def _of_the_next(line: Line, last: int, stop: int, span: tuple[int, int]) -> bool:
    """"… nine, and for the burn six": parted from the score before it and right before the next one."""
    parted = any(line.tokens[i].breaks or line.text(i) == "and" for i in range(last, span[0]))
    between = [line.text(i) for i in range(span[1], stop)]
    near = stop < len(line.tokens) and len(between) <= TIGHT and set(between) <= _GIVING
    return parted and near


_GIVING = frozenset({
    "i", "i'm", "'m", "at", "a", "an", "award", "give", "gets", "say", "put", "is", "'s", "it's", "i'd", "'d", "go",
    "gave", "gives", "scores", "only", "together", "both", "all",
})


def named_before(line: Line, number: Number, listed: bool, words: Words) -> str | None:
    """The aspect nearest before the score: in its clause, opening a clause, or (in a list) anywhere.

    In a verdict that is no list, a clause of remarks names nothing ("the draw is pulling it down, seven"), a heading
    does.
    """
    best: str | None = None
    for span in line.find(words.named, 0, number.first):
        form = tuple(t.text for t in line.tokens[span[0] : span[1]])
        same = line.clause[span[0]] == line.clause[number.first]
        if form in words.overall:
            best = OVERALL
        elif opens(line, span):
            if same or listed or line.section != "verdict" or _short(line, span):
                best = name(line, span, words)
        elif not _third(line, span) and (listed or (same and not _opinion(line, span))):
            best = name(line, span, words)
    return best


def beside(line: Line, number: Number, listed: bool, words: Words) -> str | None:
    """The aspect within a few words before the score, no other number between ("Construction I'd put at three").

    Outside a list it must open its clause."""
    for span in line.find(words.named, max(number.first - TIGHT - 3, 0), number.first)[::-1]:
        between = any(n.first >= span[1] and n.last <= number.first for n in line.numbers)
        if number.first - span[1] > TIGHT or between or _opinion(line, span):
            return None
        whole = tuple(t.text for t in line.tokens[span[0] : span[1]]) in words.overall
        if whole:
            return OVERALL
        return name(line, span, words) if opens(line, span) or (listed and not _third(line, span)) else None
    return None


def _third(line: Line, span: tuple[int, int]) -> bool:
    return line.text(span[1] - 1) == "third"


def _short(line: Line, span: tuple[int, int]) -> bool:
    """Whether the clause of the form is hardly more than the form: a heading."""
    size = sum(c == line.clause[span[0]] for c in line.clause)
    return size <= span[1] - span[0] + 2


def opens(line: Line, span: tuple[int, int]) -> bool:
    """Whether the form at `span` opens its clause, small words aside: "so finish, four"; "and the draw, nine"."""
    if line.text(span[1]) in _MOVES:
        return False
    i = span[0] - 1
    while i >= 0 and line.clause[i] == line.clause[span[0]]:
        if line.text(i) not in _LEADS:
            return False
        i -= 1
    return True


def _opinion(line: Line, span: tuple[int, int]) -> bool:
    """"Good draw": an adjective praises, it does not name what is scored."""
    blamed = any(line.text(i) in _BLAMES for i in range(max(span[0] - 3, 0), span[0]))
    if line.text(span[1]) in _MOVES or blamed:
        return True
    return span[0] > 0 and line.joined(span[0]) and line.pos[span[0] - 1] == "ADJ"


def this_third(line: Line, at: int) -> str | None:
    """"This third" is the third that the words stand in."""
    passage = line.passages[at]
    if passage is None or passage.stage not in ("first", "second", "final"):
        return None
    pairs = pairwise(t.text for t in line.tokens)
    return f"{passage.stage} third" if any(p in (("this", "third"), ("that", "third")) for p in pairs) else None


def heading(line: Line, words: Words) -> str | None:
    """The aspect where the line only names it: "Draw.", "The burn, then.", "What did I put for balance?"."""
    scale = len(line.numbers) == 1 and line.text(line.numbers[0].first - 1) == "of"
    if (line.numbers and not scale) or len(line.tokens) > _HEADING:
        return None
    spans = line.find(words.aspects)
    if len(spans) != 1:
        return None
    alone = opens(line, spans[0]) and (len(line.tokens) <= _HEADING // 2 or scale)
    asked = spans[0][1] == len(line.tokens) and line.text(0) in ("what", "how", "and")
    return name(line, spans[0], words) if alone or asked else None


def for_the_whole(line: Line, number: Number, words: Words) -> bool:
    """"And for the full ride, eight": a heading of its own that is no aspect stands for the whole."""
    first = max(number.first - AFTER, 0)
    leads = [i for i in range(first, number.first) if line.text(i) == "for"]
    if not leads or line.find(words.named, leads[-1], number.first):
        return False
    between = range(leads[-1] + 1, number.first)
    noun = any(line.pos[i] == "NOUN" or line.text(i) in ("all", "everything") for i in between)
    told = any(line.text(i) in _MONEY or line.text(i) in words.speakers for i in between)
    return noun and not told and any(line.tokens[i].breaks for i in (leads[-1], number.first))


AFTER = 6
"""Words at most in such a heading."""


def told_after(line: Line, words: Words) -> str | None:
    """"Eleven out of twelve. That's for the draw alone.": the next sentence says what the mark was for."""
    opening = [t.text for t in line.tokens[:4]]
    pointing = opening[:1] in (["that's"], ["that"], ["this"], ["which"]) and "for" in opening
    spans = line.find(words.named, 0, 7) if pointing and not line.numbers else []
    if not spans:
        return None
    whole = tuple(t.text for t in line.tokens[spans[0][0] : spans[0][1]]) in words.overall
    return OVERALL if whole else name(line, spans[0], words)


def among(rows: Sequence[Line], line: Line, at: int, words: Words) -> str | None:
    """What the remarks around are about, where the score's own sentence names nothing."""
    passage = line.passages[at]
    section = passage.section if passage else "aside"
    if section in ("verdict", "aside"):
        return OVERALL
    if section in _THIRDS:
        return _THIRDS[section]
    for back in rows[max(line.index - _BACK_LINES, 0) : line.index][::-1]:
        if back.section != section:
            break
        spans = [s for s in back.find(words.aspects) if back.pos[s[0]] in ("NOUN", "PROPN")]
        if spans:
            return name(back, spans[-1], words)
    near = {t.text for row in rows[max(line.index - 1, 0) : line.index + 1] for t in row.tokens}
    if section == "value" and not near & _MONEY:
        return OVERALL
    return _OF_SECTION.get(section)
