"""How many cigars a box holds: numbers that count them, and so are no money."""

from __future__ import annotations

from voicedraft.read.facts.context import Line, Session
from voicedraft.read.numbers import Number

COUNTS = frozenset({
    3, 4, 5, 6, 8, 9, 10, 12, 14, 15, 16, 18, 20, 21, 22, 24, 25, 26, 28, 30, 32, 36, 40, 48, 50, 60, 100,
})
"""How many cigars boxes hold (common practice, no source)."""


def counted_tokens(line: Line) -> list[int]:
    """Tokens of the numbers that count cigars in a box."""
    out: list[int] = []
    for number in line.quantities.numbers:
        if number.value in COUNTS and not number.fraction and not _money_sign(line, number.first):
            after = line.find("price.count_after", number.last, min(number.last + 4, len(line.tokens)))
            before = [h for h in line.find("price.count_before", max(0, number.first - 6), number.first)]
            close_after = bool(after) and after[0].first <= number.last + 1 and not any(
                t.breaks for t in line.tokens[number.last : after[0].first]
            )
            close_before = bool(before) and number.first - before[-1].last <= (
                0 if before[-1].value in ("box", "by the", "take the") else 1
            )
            if close_before and before[-1].value == "box" and not _box_then_count(line, number.last):
                close_before = False
            put_right = bool(out) and number.first - out[-1] <= 4 and line.corrected(out[-1], number.first, strict=True)
            if put_right and number.last < len(line.tokens) and _money_sign(line, number.first):
                put_right = False
            if close_before or close_after or put_right or for_many(line, number) or _asked_count(line, number.first):
                out += list(range(number.first, number.last))
    return out


def for_many(line: Line, number: Number) -> bool:
    """"340 pounds for twenty-five" where a box is spoken of."""
    before = [t.text for t in line.tokens[max(0, number.first - 1) : number.first]]
    ends = number.last == len(line.tokens) or line.tokens[number.last].breaks
    that = [t.text for t in line.tokens[max(0, number.first - 2) : number.first]] == ["that", "'s"]
    if that and ends and line.has("price.box", 0, number.first):
        return True
    if before == ["the"] and number.first > 1 and line.tokens[number.first - 2].text == "for":
        goes_on = ends or line.tokens[number.last].text in _GOES_ON
        return goes_on and number.value >= 5
    return before == ["for"] and ends and number.value >= 5 and any(
        m.last == number.first - 1 for m in line.quantities.moneys
    )


_GOES_ON = frozenset({"if", "when", "and", "or", "but", "though", "unless"})
"""Words that open what is said after a count: "238 for the twenty if you want twenty"."""


def _box_then_count(line: Line, i: int) -> bool:
    return i < len(line.tokens) and line.tokens[i].text in ("of", "inside", "count")


def _money_sign(line: Line, i: int) -> bool:
    return any(m.codes and m.first <= i < m.last for m in line.quantities.moneys)


def _asked_count(line: Line, i: int) -> bool:
    """"is that twenty, and he said no, twenty-five"."""
    before = [t.text for t in line.tokens[max(0, i - 2) : i]]
    asked = before == ["is", "that"] or (before[-1:] == ["no"] and any(
        [t.text for t in line.tokens[k : k + 2]] == ["is", "that"] for k in range(i)
    ))
    return asked and line.has("price.box")


def count_of(session: Session, line: Line) -> int | None:
    """Cigars in the box: the last count of the sentence, else of the sentences around it."""
    for near in (line.index, line.index - 1, line.index + 1, line.index - 2):
        if 0 <= near < len(session.lines):
            other = session.lines[near]
            tokens = counted_tokens(other)
            found = [
                n for n in other.quantities.numbers
                if n.first in tokens and not other.other[n.first] and other.tokens[n.last - 1].text not in _PLURAL
            ]
            if near == line.index or other.has("price.box"):
                found += _bare_twenty(other)
            if found:
                return int(found[-1].value)
            many = sold_in(other) if near == line.index or other.section == line.section else None
            if many:
                return many
    return None


def sold_in(line: Line) -> int | None:
    """"You can get them in tens for two hundred and ten": how many are sold together, said in the plural."""
    for i in range(2, len(line.tokens)):
        many = _PLURAL.get(line.tokens[i].text)
        if many is None or line.tokens[i].breaks or line.other[i] or line.asks:
            continue
        twenties = line.tokens[i - 1].text in ("twenty", "twenty-")
        at = i - 1 - twenties
        if line.tokens[at].text not in ("in", "by"):
            continue
        start, _ = line.clause(i)
        several = sum(t.text in _PLURAL or t.text == "singles" for t in line.tokens) > 1
        before = [t.text for t in line.tokens[start:at]]
        if not several and not _NOT_SO & set(before) and _sold_together(before):
            return many + 20 * twenties
    return None


def _sold_together(before: list[str]) -> bool:
    """"They come in", "he sells them in", "you can get them in", "they're packed in": the cigars are what is sold."""
    words = list(before)
    while words and words[-1] in _THEM:
        words.pop()
    if not words or words[-1] not in _SOLD or len(before) - len(words) > _BEFORE_IN:
        return False
    named = _THEM & set(before[len(words) :])
    return bool(named - {"up", "only", "out"}) or any(w in _CIGARS for w in words[-_BEFORE_IN - 1 : -1])


_CIGARS = frozenset({
    "they", "they're", "it", "it's", "these", "those", "them", "this", "that", "box", "boxes", "cigars", "sticks",
    "which",
})
_NOT_SO = frozenset({
    "n't", "don't", "doesn't", "didn't", "not", "never", "used", "wish", "if", "would", "should", "could", "once", "no",
    "hope", "might", "maybe", "longer", "before", "till", "until",
})
_PLURAL = {
    "threes": 3, "fours": 4, "fives": 5, "sixes": 6, "eights": 8, "tens": 10, "twelves": 12, "fifteens": 15,
    "twenties": 20, "twenty-fours": 24, "twenty-fives": 25, "fifties": 50,
}
_SOLD = frozenset({
    "come", "comes", "came", "get", "gets", "sold", "sell", "sells", "packed", "boxed", "buy", "pack", "packs",
    "bundled", "boxes",
})
_THEM = frozenset({"them", "'em", "em", "these", "it", "those", "up", "only", "out"})
_BEFORE_IN = 4
"""Tokens before "in tens" within which the verb of selling stands; our own choice, no outside source."""


def _bare_twenty(line: Line) -> list[Number]:
    """"if you take the twenty"."""
    return [
        n for n in line.quantities.numbers
        if n.value in COUNTS and n.first and line.tokens[n.first - 1].text == "the"
        and n.first > 1 and line.tokens[n.first - 2].text in ("take", "for", "buy")
    ]
