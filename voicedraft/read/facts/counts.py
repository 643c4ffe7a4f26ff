"""What a sentence tells of touch-ups or relights, by rules.

Each sentence that names the act is read for how often: "no", "one", "the second", "twice", "that makes three". Without
a number an act done adds one. What is said of the other act in the same sentence is kept apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from voicedraft.read.facts.acts import forms, goings_out, relights, small_acts, tagged, tooled, touch_ups
from voicedraft.read.facts.context import Line
from voicedraft.read.facts.of_own import denied_behind, flames_alone, of_another_thing, out_so_often, sum_of_it
from voicedraft.read.facts.often import how_often, other_time, small
from voicedraft.read.facts.other_things import of_a_thing
from voicedraft.read.facts.own_clause import clause_of_its_own
from voicedraft.read.facts.recalled import recalls
from voicedraft.read.facts.small_words import SUBJECTS
from voicedraft.read.facts.supposed import habitual, no_event, not_needed, not_told, of_others, only_planned, unneeded
from voicedraft.read.facts.tally import Told
from voicedraft.read.numbers import Number
from voicedraft.read.numbers.phrases import Hit

_NIL = frozenset({"none", "zero", "nil", "nought", "naught", "zip", "nada", "nix", "zilch", "nowt"})


def told_in(line: Line, kind: str) -> list[Told]:
    """What a sentence tells of one act: how often, or that it was done, or, of the fire, that it went out."""
    if line.section in ("pairings", "value", "background", "prelight"):
        return []
    if unneeded(line) and not line.has("count.zero"):
        return not_needed(line, kind)
    if line.section == "verdict" and line.has("count.marks"):
        return []
    nouns = [h for h in line.find(f"{kind}.noun") if not line.other[h.first]]
    nouns += small_acts(line) if kind == "touch_up" else []
    nouns = [h for h in nouns if not _of_the_record(line, h)]
    events = _events(line, kind)
    hits = sorted(nouns + events, key=lambda h: (h.first, -h.last))
    hits = [h for k, h in enumerate(hits) if not any(o.first <= h.first < o.last for o in hits[:k])]
    hits = [h for h in hits if not of_others(line, h.first)]
    outs = goings_out(line) if kind == "relight" and not line.text.endswith("?") else []
    outs = [h for h in outs if not habitual(line, h) and not of_others(line, h.first)]
    bare = out_so_often(line) if kind == "relight" else None
    if bare is not None:
        return [bare]
    if line.text.endswith("?") or (not hits and not outs):
        return _stayed_lit(line) if kind == "relight" else []
    found = [t for h in hits if (t := _read(line, h, kind, h in events)) is not None]
    sure = [t for t in found if t.kind != "more"]
    if sure:
        told = max(sure, key=lambda t: (t.kind != "none", t.count, t.first))
        return [_and_again(line, told)]
    lit = _stayed_lit(line) if kind == "relight" else []
    if lit:
        return lit
    return _out(line, outs) + _done(line, found)


def _of_the_record(line: Line, hit: Hit[str]) -> bool:
    """"a correction, I said Dominican", "six, correction, seven"; "won't fix itself", "let me fix" are no nouns."""
    before = line.tokens[hit.first - 1].text if hit.first else ""
    alone = line.clause(hit.first) == (hit.first, hit.last) and hit.last < len(line.tokens)
    talk = hit.value.startswith("correction") and (
        (line.section not in ("burn", "aside", "verdict") and line.has("count.of_the_talk", hit.last, hit.last + 3))
        or line.has("count.of_record") or (line.section != "burn" and (alone or line.has("said_before")))
    )
    does = hit.last - hit.first == 1 and before == "me" and tagged(line, hit.first) == "VERB"
    return talk or does or before in _MODAL


_MODAL = frozenset({"won't", "can't", "to", "'ll", "will", "would", "n't", "could", "must", "wo", "ca"})
def _events(line: Line, kind: str) -> list[Hit[str]]:
    """Acts told as done: the phrases of the lexicon and those that grammar finds."""
    events = [h for h in line.find(f"{kind}.event") if not line.other[h.first]]
    events += [h for h in (touch_ups(line) if kind == "touch_up" else relights(line)) if not line.other[h.first]]
    if kind == "touch_up" and not events:
        events = flames_alone(line)
    if kind == "touch_up" and not events:
        events = [h for h in tooled(line) if not line.other[h.first]]
    if kind == "touch_up" and (goings_out(line) or any(line.has(f"relight.{p}") for p in ("noun", "event"))):
        doubtful = {h.first for h in line.find("touch_up.doubtful")}
        events = [h for h in events if h.first not in doubtful]
    events = [h for h in events if not of_a_thing(line, h)]
    bare = {h.first for h in line.find("touch_up.tool_only")}
    told = [h for h in events if not no_event(line, h.first) and not only_planned(line, h.first)]
    acts = [h for h in told if h.first not in bare and line.tokens[max(0, h.first - 1)].text not in ("that", "which")]
    return acts or told


def _out(line: Line, outs: Sequence[Hit[str]]) -> list[Told]:
    """Goings-out that count for as many lightings, unless it was left to lie."""
    outs = [h for h in outs if not no_event(line, h.first)]
    if not outs or line.has("relight.left"):
        return []
    if line.stage == "after" and not line.has("relight.again") and not how_often(line, 0, len(line.tokens)):
        return []
    first = outs[0]
    times = how_often(line, first.last, min(len(line.tokens), first.last + 6))
    if times is None:
        times = how_often(line, line.clause(first.first)[0], first.first)
    if times is None:
        return [Told(_clauses(line, outs), first.first, outs[-1].last, "out")]
    times = Hit(times.value, min(times.first, first.first), max(times.last, first.last))
    later = [
        n for n in line.quantities.numbers
        if times.last <= n.first <= times.last + 3 and small(line, n) and line.corrected(times.last, n.first)
    ]
    if later:
        return [Told(int(later[-1].value), times.first, later[-1].last, "running")]
    return [Told(times.value, times.first, times.last, "running" if times.value > 1 else "out")]


def _clauses(line: Line, hits: Sequence[Hit[str]]) -> int:
    """How many of the hits stand in clauses of their own."""
    count = 1
    for a, b in pairwise(hits):
        count += any(t.breaks or t.text in ("and", "then") for t in line.tokens[a.last : b.first + 1])
    return count


def _done(line: Line, found: Sequence[Told]) -> list[Told]:
    """Acts done without a number, as one: "lit it in the bath, and then once more in the hall" counts two."""
    numbered = [t for t in found if t.count > 1]
    if not found or numbered:
        return numbered[:1]
    hits = [Hit("", t.first, t.last) for t in found]
    hits = [h for k, h in enumerate(hits) if not (k and (_names_it(line, h) or recalls(line, h.first)))]
    return [Told(_clauses(line, hits) + _tail(line, hits[-1].last), hits[0].first, hits[-1].last, "more")]


def _and_again(line: Line, told: Told) -> Told:
    """"I touched it up, one, and then once more a few minutes after" counts two."""
    more = _tail(line, told.last) if told.kind == "count" and told.count == 1 else 0
    return replace(told, count=1 + more, kind="more") if more else told


def _tail(line: Line, last: int) -> int:
    """1 where the act told before token `last` is told once more without a verb of its own, else 0."""
    for hit in line.find("count.once_more", last, len(line.tokens))[:1]:
        between = range(last, hit.first)
        joined = any(line.tokens[i].text in ("and", "then") for i in between)
        if hit.last < len(line.tokens) and line.tokens[hit.last].text in SUBJECTS:
            return 0
        return int(joined and not any(tagged(line, i) in ("VERB", "AUX") for i in between))
    return 0


def _names_it(line: Line, hit: Hit[str]) -> bool:
    """"..., so that's a touch-up": a name for the act just told."""
    before = [t.text for t in line.tokens[max(0, hit.first - 3) : hit.first]]
    return before[-1:] in (["a"], ["one"]) and bool(_THAT & set(before))


_THAT = frozenset({"that's", "that", "which", "it's", "it", "call", "calls", "called"})


def repeated(line: Line) -> list[Told]:
    """"Five minutes later I did it again": the touch-up told just before, once more."""
    if line.section != "burn" or line.text.endswith("?") or len(line.tokens) > 18 or line.has("relight.out"):
        return []
    if relights(line) or line.has("relight.event"):
        return []
    for hit in line.find("touch_up.repeat"):
        if not line.has("count.none", 0, hit.first):
            return [Told(1, hit.first, hit.last, "more")]
    return []


def answered(question: Line | None, line: Line, kind: str) -> list[Told]:
    """"Did you have to straighten it at all? Not once.": a short reply to a question that names the act."""
    if question is None or not question.text.endswith("?") or len(line.tokens) > 6:
        return []
    if not (question.find(f"{kind}.noun") or question.find(f"{kind}.event") or (
        touch_ups(question) if kind == "touch_up" else relights(question) or goings_out(question)
    )):
        return []
    for word in line.find("count.none"):
        return [Told(0, word.first, word.last, "none")]
    times = how_often(line, 0, len(line.tokens))
    return [Told(times.value, times.first, times.last, "running")] if times else []


def _stayed_lit(line: Line) -> list[Told]:
    """"it never once went out", "stayed lit", "gone out it is never": no relight."""
    behind = [h for h in line.find("relight.out") if denied_behind(line, h) and not line.other[h.first]]
    if behind:
        return [Told(0, behind[0].first, line.clause(behind[0].first)[1], "none")]
    for hit in line.find("relight.stayed"):
        if not no_event(line, hit.first):
            return [Told(0, hit.first, hit.last, "none")]
    for hit in line.find("relight.out"):
        if no_event(line, hit.first):
            continue
        if not line.other[hit.first] and line.has("count.none", max(0, hit.first - 5), hit.first):
            return [Told(0, max(0, hit.first - 5), hit.last, "none")]
    return []


def _read(line: Line, hit: Hit[str], kind: str, event: bool) -> Told | None:
    if not_told(line, hit.first):
        return None
    first, last = _reach(line, hit, kind)
    for reader in (sum_of_it, _adjacent, _summed, _none, _number, _times):
        told = reader(line, hit, first, last)
        if told is not None:
            return told if told.count >= 0 else None
    if (event or _another(line, hit)) and not line.denied(hit.first, 4):
        return Told(1, hit.first, hit.last, "more")
    return None


def _another(line: Line, hit: Hit[str]) -> bool:
    """"a quick touch-up", "another relight"."""
    before = [t.text for t in line.tokens[max(0, hit.first - 2) : hit.first]]
    return not no_event(line, hit.first) and bool({"a", "an", "another"} & set(before))


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


def _adjacent(line: Line, hit: Hit[str], first: int, last: int) -> Told | None:
    """"one relight", "two corrections": the number right before the act, where nothing after takes it back."""
    for number in line.quantities.numbers:
        if number.last != hit.first or number.ordinal or not small(line, number) or line.other[number.first]:
            continue
        if line.tokens[hit.first].breaks or line.corrected(hit.last, min(last, hit.last + 6), strict=True):
            return None
        if line.has("count.none", max(first, number.first - 4), hit.first):
            return None
        later = [n for n in line.quantities.numbers if n.first >= hit.last and small(line, n)]
        later = [n for n in later if not of_another_thing(line, n, hit.last)]
        near = line.section != "verdict" and any(n.first - hit.last <= 8 and n.last <= last for n in later)
        if near or any(_sums_up(line, n, hit.last) for n in later):
            return None
        return Told(int(number.value), number.first, hit.last, "count")
    return None


def _sums_up(line: Line, number: Number, first: int) -> bool:
    """"..., so two" at the end of the sentence: a number alone after a word that sums up, from token `first` on."""
    if [t.text for t in line.tokens[max(0, number.first - 2) : number.first]] in _CLOCK:
        return False
    ends = number.last == len(line.tokens) or any(
        h.first == number.last and h.last == len(line.tokens) for h in line.find("count.summing", number.last)
    )
    closes = ends and line.section != "verdict" and not line.denied(number.first)
    return closes and any(h.last == number.first for h in line.find("count.total", first, number.first))


_CLOCK = (["'s", "now"], ["it's", "now"], ["is", "now"])
"""Before a time of day: "I touched it up at nine and it's now ten"."""


def _summed(line: Line, hit: Hit[str], first: int, last: int) -> Told | None:
    """"that makes twice", "so that's two", "make that three", "total three", read from the last of them."""
    for number in line.quantities.numbers:
        if small(line, number) and number.first >= hit.last and _sums_up(line, number, hit.last):
            return Told(int(number.value), hit.first, number.last, "running")
    for cue in [] if line.section == "verdict" else reversed(line.find("count.total", first, last)):
        if [t.text for t in line.tokens[max(0, cue.last - 2) : cue.last]] in _CLOCK:
            continue
        for number in line.quantities.numbers:
            if 0 <= number.first - cue.last <= 1 and number.last <= last and small(line, number):
                if line.tokens[number.first].breaks or number.ordinal or line.other[number.first]:
                    continue
                return Told(int(number.value), min(cue.first, hit.first), max(number.last, hit.last), "running")
        times = how_often(line, cue.last, min(cue.last + 2, last))
        if times is not None:
            return Told(times.value, min(cue.first, hit.first), max(times.last, hit.last), "running")
    return None


def _none(line: Line, hit: Hit[str], first: int, last: int) -> Told | None:
    """"no touch-ups", "never once touched it up", "relights: nil", "touch-ups, … none on this"."""
    for word in line.find("count.none", first, last):
        before = 0 <= hit.first - word.last <= 5 and not any(t.stops for t in line.tokens[word.last : hit.first + 1])
        bare = word.value in _NIL and not line.other[word.first]
        after = bare and word.first >= hit.last and [t.text for t in line.tokens[word.last : word.last + 1]] != ["of"]
        before = before and not clause_of_its_own(line, word.last, hit.first)
        if not (before or after):
            continue
        between = [n for n in line.quantities.numbers if word.last <= n.first < hit.first]
        if before and any(n.ordinal and n.value > 1 for n in between):
            return Told(-1, word.first, word.last, "none")
        between = [n for n in between if small(line, n)]
        if before and any(n.value != 1 or n.ordinal for n in between):
            continue
        rest = line.find("count.except", hit.last, min(last, hit.last + 5))
        if before and rest and how_often(line, rest[0].last, min(len(line.tokens), rest[0].last + 4)):
            continue
        if before and line.has("count.twice", hit.last, hit.last + 3):
            return Told(-1, word.first, word.last, "none")
        supposed = before and hit.value == "relight" and line.tokens[hit.first - 1].text == "the"
        if supposed or (before and line.has("count.since", word.last, hit.first)):
            return Told(-1, word.first, word.last, "none")
        if line.has("count.so_far") and line.stage != "after":
            return Told(-1, word.first, word.last, "none")
        return Told(0, min(word.first, hit.first), max(word.last, hit.last), "none")
    return None


def _number(line: Line, hit: Hit[str], first: int, last: int) -> Told | None:
    """"two relights", "a second touch-up", "touch-up number two", "touch-ups: two"."""
    best: Told | None = None
    for number in line.quantities.numbers:
        before_it = line.tokens[number.first - 1].text if number.first else ""
        nth = number.ordinal and number.last == hit.first and before_it == "a" and not line.tokens[hit.first].breaks
        if not (nth or small(line, number)) or line.other[number.first] or line.denied(number.first):
            continue
        apart = any(t.breaks for t in line.tokens[number.last : hit.first + 1])
        before = first <= number.first and 0 <= hit.first - number.last <= 3 and not apart
        joined = any(t.text == "and" for t in line.tokens[hit.last : number.first])
        after = number.last <= last and 0 <= number.first - hit.last <= 2 and not (joined and best is not None)
        after = after and not (line.section == "verdict" and line.tokens[number.first - 1].text == "it")
        after = after or (best is not None and number.last <= last and (
            _put_right(line, hit, number) or (number.ordinal and line.has("count.then", hit.last, number.first))
        ))
        if not (before or after) or (after and _owned_after(line, number, last)):
            continue
        numbered = number.ordinal or (number.first > 0 and line.tokens[number.first - 1].text == "number")
        if best is not None and line.corrected(best.last, number.first, strict=True):
            best = None
        added = line.has("count.more", number.last, min(number.last + 1, len(line.tokens))) or (
            number.first > 0 and line.has("count.more", number.first - 1, number.first)
        )
        told = Told(int(number.value), min(number.first, hit.first), max(number.last, hit.last),
                     "running" if numbered else "more" if added else "count")
        if best is None or before or number.first > hit.last:
            best = told
    return best


def _put_right(line: Line, hit: Hit[str], number: Number) -> bool:
    """"three relights, no, four"."""
    return 0 <= number.first - hit.last <= 4 and line.corrected(hit.last, number.first, strict=True)


_AFTER_COUNT = frozenset({
    "time", "times", "on", "in", "total", "all", "altogether", "only", "and", "or", "overall",
})


def _owned_after(line: Line, number: Number, last: int) -> bool:
    """A number after the act that goes with the noun behind it: "one touch-up, ten minutes in"."""
    follower = line.tokens[number.last] if number.last < len(line.tokens) else None
    if follower is None or follower.breaks or number.last >= last:
        return False
    return follower.text not in _AFTER_COUNT


def _that_was(line: Line, number: Number) -> bool:
    """"..., that was the second time", "which makes the third time"."""
    before = [t.text for t in line.tokens[max(0, number.first - 3) : number.first]]
    return before[-1:] == ["the"] and bool({"that", "that's", "which", "makes"} & set(before))


def _times(line: Line, hit: Hit[str], first: int, last: int) -> Told | None:
    """"the lighter twice", "just the once", "a fourth time with the lighter"."""
    for number in line.quantities.numbers:
        near = max(first, hit.first - 6) <= number.first and number.last < min(last, hit.last + 8)
        near = near or (hit.last <= number.first and number.last < last and _that_was(line, number))
        if number.ordinal and near and line.tokens[number.last].text == "time" and not other_time(line, number.last):
            again = line.has("relight.plain_again", hit.first, number.first) or number.first < hit.first
            count = int(number.value) - (line.tokens[hit.first].text in forms("light") and not again)
            return Told(count, min(number.first, hit.first), max(number.last + 1, hit.last), "running")
    back = 4 if any(t.breaks for t in line.tokens[max(0, hit.first - 6) : hit.first + 1]) else 7
    start, end = line.clause(hit.first)
    times = how_often(line, max(first, hit.first - back, start), min(last, hit.last + 8, end))
    times = times or how_often(line, max(first, hit.first - back), min(last, hit.last + 8))
    if times is None:
        return None
    kind = "count" if times.value == 1 else "running"
    return Told(times.value, min(times.first, hit.first), max(times.last, hit.last), kind)
