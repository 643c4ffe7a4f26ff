"""Touch-ups and relights, counted over the session: totals told at the end win, then running numbers, then events."""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.numbers.phrases import Hit

KINDS = ("touch_up", "relight")
_NAMES = {"touch_up": "touch_ups", "relight": "relights"}


@dataclass
class _Tally:
    """What has been heard of one kind so far."""

    count: int | None = None
    weight: int = -1
    line: int = 0
    first: int = 0
    last: int = 0
    detail: str = ""

    def set(self, count: int, line: Line, span: tuple[int, int], weight: int, detail: str) -> None:
        self.count, self.weight, self.detail = count, weight, detail
        self.line, (self.first, self.last) = line.index, line.span(*span)


def read_counts(session: Session) -> list[Claim]:
    """Claims "touch_ups" and "relights"."""
    out = []
    for kind in KINDS:
        tally = _Tally()
        for line in session.lines:
            _line(line, kind, tally)
        if tally.count is not None:
            out.append(Claim(_NAMES[kind], tally.count, tally.line, tally.first, tally.last, tally.detail))
    return out


def _line(line: Line, kind: str, tally: _Tally) -> None:
    nouns = [h for h in line.find(f"{kind}.noun") if not line.other[h.first]]
    events = [h for h in line.find(f"{kind}.event") if not line.other[h.first]]
    if line.section in ("pairings", "value", "background") or not (nouns or events):
        return
    if line.has("count.not_event"):
        events = []
    final = line.section == "burn" and line.stage in ("after", None)
    told = [found for h in nouns + events if (found := _number(line, h, kind)) is not None]
    if told:
        count, span, detail = told[-1] if not final else max(told, key=lambda t: t[1][0])
        _take(line, tally, count, span, final, detail)
        return
    if nouns or events:
        _event(line, tally, (nouns + events)[0], bool(events), final)


def _take(line: Line, tally: _Tally, count: int, span: tuple[int, int], final: bool, detail: str) -> None:
    if tally.weight >= 2 and not final and count <= (tally.count or 0):
        return
    if count == 0 and (tally.count or 0) > 0 and not final:
        return
    if detail == "one more":
        count = count if (tally.count or 0) == 0 else (tally.count or 0) + 1
    tally.set(count, line, span, 2 if final else 1, detail)


def _event(line: Line, tally: _Tally, hit: Hit[str], event: bool, final: bool) -> None:
    """An event without a number adds one; a bare noun tells nothing."""
    if not event or final or line.denied(hit.first, 4):
        return
    if line.has("count.none", max(0, hit.first - 5), hit.first):
        return
    tally.set((tally.count or 0) + 1, line, (hit.first, hit.last), 1, "one more")


def _number(line: Line, hit: Hit[str], kind: str) -> tuple[int, tuple[int, int], str] | None:
    """(count, tokens, detail) said with a noun or event: before it, right after it, or at the end of its sentence."""
    first, last = _reach(line, hit, kind)
    total = _make_that(line, hit)
    if total is not None:
        return total
    none = _none(line, hit, first, last)
    if none is not None:
        return none
    for number in line.quantities.numbers:
        if not 0 <= number.value <= 12 or number.fraction or number.places:
            continue
        inside_before = first <= number.first < hit.first and hit.first - number.last <= 3
        inside_after = hit.last <= number.first < last and number.first - hit.last <= 2
        if not (inside_before or inside_after) or _counts_other(line, number.last, hit):
            continue
        if number.ordinal or _numbered(line, number.first):
            return int(number.value), (min(number.first, hit.first), max(number.last, hit.last)), "running number"
        detail = "a number with it"
        return int(number.value), (min(number.first, hit.first), max(number.last, hit.last)), detail
    for path, count in (("count.once", 1), ("count.twice", 2), ("count.thrice", 3)):
        for word in line.find(path, first, last):
            if abs(word.first - hit.last) <= 7 or abs(hit.first - word.last) <= 3:
                span = (min(word.first, hit.first), max(word.last, hit.last))
                detail = "one more" if count == 1 and line.stage != "after" else "how often"
                return count, span, detail
    return None


def _reach(line: Line, hit: Hit[str], kind: str) -> tuple[int, int]:
    """Tokens that belong to this noun: up to the other kind's words on both sides, within stops."""
    first, last = max(0, hit.first - 6), min(len(line.tokens), hit.last + 10)
    rival = "relight" if kind == "touch_up" else "touch_up"
    for path in (f"{rival}.noun", f"{rival}.event"):
        for other in line.find(path):
            if other.last <= hit.first:
                first = max(first, other.last)
            if other.first >= hit.last:
                last = min(last, _before_number(line, other.first))
    return first, last


def _before_number(line: Line, i: int) -> int:
    """A number right before the rival's word is the rival's."""
    for number in line.quantities.numbers:
        if number.last <= i <= number.last + 2:
            return number.first
    return i


def _make_that(line: Line, hit: Hit[str]) -> tuple[int, tuple[int, int], str] | None:
    """"that makes twice", "so that's two", "make that three", "total three"."""
    for cue in reversed(line.find("count.total")):
        for number in line.quantities.numbers:
            near = 0 <= number.first - cue.last <= 2
            if near and number.value <= 12 and not number.ordinal and not _counts_other(line, number.last, hit):
                return int(number.value), (cue.first, number.last), "total"
        for path, count in (("count.twice", 2), ("count.thrice", 3), ("count.once", 1)):
            for word in line.find(path, cue.last, min(cue.last + 2, len(line.tokens))):
                return count, (cue.first, word.last), "total"
    return None


def _counts_other(line: Line, i: int, hit: Hit[str]) -> bool:
    """The number before token `i` counts minutes, percent, scores or the rival's nouns."""
    after = line.tokens[i].text if i < len(line.tokens) and not line.tokens[i].breaks else ""
    return after in ("minutes", "minute", "puffs", "out", "percent", "per", "inches", "inch", "millimetres", "matches",
                     "mil", "centimetres", "seconds", "hours", "past", "o'clock", "hundred", "draws", "puff")


def _numbered(line: Line, i: int) -> bool:
    return i > 0 and line.tokens[i - 1].text == "number"


def _none(line: Line, hit: Hit[str], first: int, last: int) -> tuple[int, tuple[int, int], str] | None:
    for word in line.find("count.none", first, last):
        near = 0 <= hit.first - word.last <= 4 or 0 <= word.first - hit.last <= 2
        if near and not (word.first >= hit.last and line.tokens[word.first].stops):
            if line.has("count.so_far") and line.stage != "after":
                return None
            return 0, (min(word.first, hit.first), max(word.last, hit.last)), "none"
    return None


