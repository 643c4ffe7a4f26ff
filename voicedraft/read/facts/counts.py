"""Touch-ups and relights, counted over the session: totals told at the end win, then running numbers, then events.

Each sentence that names the act is read for how often: "no", "one", "the second", "twice", "that makes three". Without
a number an act done adds one. What is said of the other act in the same sentence is kept apart.
"""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.numbers import Number
from voicedraft.read.numbers.phrases import Hit

KINDS = ("touch_up", "relight")
_NAMES = {"touch_up": "touch_ups", "relight": "relights"}
_MOST = 12
_OTHER_UNITS = frozenset({
    "minutes", "minute", "hour", "puffs", "puff", "out", "percent", "per", "inches", "inch", "millimetres", "matches",
    "match",
    "mil", "centimetres", "seconds", "hours", "past", "o'clock", "hundred", "draws", "sides", "pulls", "of", "clicks",
})


_THIRDS = frozenset({"first", "second", "final", "last", "middle", "opening"})


@dataclass(frozen=True, slots=True)
class _Told:
    """`count` at tokens `[first, last)`. `kind`: none, count, running (the nth), more (one act without a total)."""

    count: int
    first: int
    last: int
    kind: str


@dataclass
class _Tally:
    """What has been heard of one act so far."""

    count: int | None = None
    final: bool = False
    line: int = 0
    first: int = 0
    last: int = 0
    detail: str = ""

    def add(self, line: Line, told: _Told, final: bool) -> None:
        count = told.count
        so_far = self.count or 0
        if told.kind == "more":
            count = so_far + 1
            if self.final or (final and so_far):
                return
        elif told.kind == "none" and so_far and not final:
            return
        elif told.kind == "count" and count == 1 and so_far and not final:
            count = so_far + 1
        elif (told.kind != "none" and count < so_far and not final) or (self.final and not final):
            return
        self.count, self.final, self.detail = count, self.final or final, told.kind
        self.line, (self.first, self.last) = line.index, line.span(told.first, told.last)


def read_counts(session: Session) -> list[Claim]:
    """Claims "touch_ups" and "relights"."""
    out = []
    for kind in KINDS:
        tally = _Tally()
        for line in session.lines:
            for told in _line(line, kind):
                tally.add(line, told, final=line.section == "burn" and line.stage in ("after", None))
        if tally.count is not None:
            detail = f"counted over the session ({tally.detail})"
            out.append(Claim(_NAMES[kind], tally.count, tally.line, tally.first, tally.last, detail))
    return out


def _line(line: Line, kind: str) -> list[_Told]:
    """What a sentence tells of one act: at most one thing."""
    if line.section in ("pairings", "value", "background", "prelight"):
        return []
    nouns = [h for h in line.find(f"{kind}.noun") if not line.other[h.first]]
    unsure = line.has("count.not_event")
    events = [] if unsure else [h for h in line.find(f"{kind}.event") if not line.other[h.first]]
    if kind == "touch_up" and any(line.has(f"relight.{path}") for path in ("noun", "event", "out")):
        doubtful = {h.first for h in line.find("touch_up.doubtful")}
        events = [h for h in events if h.first not in doubtful]
    hits = sorted(nouns + events, key=lambda h: h.first)
    if not hits:
        return _stayed_lit(line) if kind == "relight" else []
    found = [t for h in hits if (t := _read(line, h, kind, h in events)) is not None]
    sure = [t for t in found if t.kind != "more"]
    if sure:
        return [max(sure, key=lambda t: (t.kind != "none", t.count, t.first))]
    return found[:1]


def _stayed_lit(line: Line) -> list[_Told]:
    """"it never once went out", "stayed lit": no relight."""
    for hit in line.find("relight.stayed"):
        return [_Told(0, hit.first, hit.last, "none")]
    for hit in line.find("relight.out"):
        if not line.other[hit.first] and line.has("count.none", max(0, hit.first - 3), hit.first):
            return [_Told(0, max(0, hit.first - 3), hit.last, "none")]
    return []


def _read(line: Line, hit: Hit[str], kind: str, event: bool) -> _Told | None:
    first, last = _reach(line, hit, kind)
    for reader in (_summed, _none, _number, _times):
        told = reader(line, hit, first, last)
        if told is not None:
            return told if told.count >= 0 else None
    if (event or _another(line, hit)) and not line.denied(hit.first, 4):
        return _Told(1, hit.first, hit.last, "more")
    return None


def _another(line: Line, hit: Hit[str]) -> bool:
    """"a quick touch-up", "another relight"."""
    before = [t.text for t in line.tokens[max(0, hit.first - 2) : hit.first]]
    return not line.has("count.not_event") and bool({"a", "an", "another"} & set(before))


def _reach(line: Line, hit: Hit[str], kind: str) -> tuple[int, int]:
    """Tokens that may belong to this act: from the last joint after the other act's words to the next of those."""
    first, last = max(0, hit.first - 8), min(len(line.tokens), hit.last + 16)
    rival = "relight" if kind == "touch_up" else "touch_up"
    for other in [*line.find(f"{rival}.noun"), *line.find(f"{rival}.event")]:
        if hit.first < other.last and other.first < hit.last:
            continue
        if other.last <= hit.first:
            first = max(first, _joint(line, other.last, hit.first))
        else:
            last = min(last, _joint(line, hit.last, other.first))
    return first, last


def _joint(line: Line, a: int, b: int) -> int:
    """The last comma or "and" between tokens `a` and `b`, where one act ends and the other begins."""
    for i in range(b, a, -1):
        if i < len(line.tokens) and (line.tokens[i].breaks or line.tokens[i].text in ("and", "but")):
            return i
    return a


def _small(line: Line, number: Number) -> bool:
    after = line.tokens[number.last] if number.last < len(line.tokens) else None
    counts_other = after is not None and not after.breaks and after.text in _OTHER_UNITS
    score = number.first > 0 and line.tokens[number.first - 1].text in ("minute", "of", "at")
    if number.ordinal and number.first and line.tokens[number.first - 1].text in _THIRDS:
        return False
    whole = number.value == int(number.value) and 0 <= number.value <= _MOST
    return whole and not number.fraction and not counts_other and not score


def _summed(line: Line, hit: Hit[str], first: int, last: int) -> _Told | None:
    """"that makes twice", "so that's two", "make that three", "total three", read from the last of them."""
    for cue in reversed(line.find("count.total", first, last)):
        for number in line.quantities.numbers:
            if 0 <= number.first - cue.last <= 1 and number.last <= last and _small(line, number):
                if line.tokens[number.first].breaks or number.ordinal or line.other[number.first]:
                    continue
                return _Told(int(number.value), min(cue.first, hit.first), max(number.last, hit.last), "running")
        times = _how_often(line, cue.last, min(cue.last + 2, last))
        if times is not None:
            return _Told(times.value, min(cue.first, hit.first), max(times.last, hit.last), "running")
    return None


def _none(line: Line, hit: Hit[str], first: int, last: int) -> _Told | None:
    """"no touch-ups", "never once touched it up", "relights: nil", "touch-ups, … none on this"."""
    for word in line.find("count.none", first, last):
        before = 0 <= hit.first - word.last <= 5 and not any(t.stops for t in line.tokens[word.last : hit.first + 1])
        bare = word.value in ("none", "zero", "nil", "nought") and not line.other[word.first]
        after = bare and word.first >= hit.last and [t.text for t in line.tokens[word.last : word.last + 1]] != ["of"]
        if not (before or after):
            continue
        between = [n for n in line.quantities.numbers if word.last <= n.first < hit.first and _small(line, n)]
        if before and any(n.value != 1 or n.ordinal for n in between):
            continue
        if line.has("count.so_far") and line.stage != "after":
            return _Told(-1, word.first, word.last, "none")
        return _Told(0, min(word.first, hit.first), max(word.last, hit.last), "none")
    return None


def _number(line: Line, hit: Hit[str], first: int, last: int) -> _Told | None:
    """"two relights", "a second touch-up", "touch-up number two", "touch-ups: two"."""
    best: _Told | None = None
    for number in line.quantities.numbers:
        if not _small(line, number) or line.other[number.first]:
            continue
        before = first <= number.first and 0 <= hit.first - number.last <= 3
        after = number.last <= last and 0 <= number.first - hit.last <= 2
        after = after or (best is not None and number.last <= last and _put_right(line, hit, number))
        if not (before or after) or (after and _owned_after(line, number, last)):
            continue
        numbered = number.ordinal or (number.first > 0 and line.tokens[number.first - 1].text == "number")
        if best is not None and line.corrected(best.last, number.first, strict=True):
            best = None
        told = _Told(int(number.value), min(number.first, hit.first), max(number.last, hit.last),
                     "running" if numbered else "count")
        if best is None or before or number.first > hit.last:
            best = told
    return best


def _put_right(line: Line, hit: Hit[str], number: Number) -> bool:
    """"three relights, no, four"."""
    return 0 <= number.first - hit.last <= 4 and line.corrected(hit.last, number.first, strict=True)


def _owned_after(line: Line, number: Number, last: int) -> bool:
    """A number after the act that goes with the noun behind it: "one touch-up, ten minutes in"."""
    follower = line.tokens[number.last] if number.last < len(line.tokens) else None
    if follower is None or follower.breaks or number.last >= last:
        return False
    return follower.text not in ("time", "times", "on")


def _how_often(line: Line, first: int, last: int) -> Hit[int] | None:
    for path, count in (("count.thrice", 3), ("count.twice", 2), ("count.once", 1)):
        for word in line.find(path, first, last):
            return Hit(count, word.first, word.last)
    for number in line.quantities.numbers:
        if first <= number.first and number.last < last and line.tokens[number.last].text in ("time", "times"):
            return Hit(int(number.value), number.first, number.last + 1)
    return None


def _times(line: Line, hit: Hit[str], first: int, last: int) -> _Told | None:
    """"the lighter twice", "just the once", "a fourth time with the lighter"."""
    for number in line.quantities.numbers:
        near = max(first, hit.first - 6) <= number.first and number.last < min(last, hit.last + 8)
        if number.ordinal and near and line.tokens[number.last].text == "time":
            return _Told(int(number.value), min(number.first, hit.first), max(number.last + 1, hit.last), "running")
    times = _how_often(line, max(first, hit.first - 4), min(last, hit.last + 8))
    if times is None:
        return None
    kind = "count" if times.value == 1 else "running"
    return _Told(times.value, min(times.first, hit.first), max(times.last, hit.last), kind)
