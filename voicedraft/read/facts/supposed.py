"""Acts only supposed: "if it goes out", "I nearly touched it up", "a touch-up wasn't needed"."""

from __future__ import annotations

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.small_words import NOTS
from voicedraft.read.facts.tally import Told
from voicedraft.read.numbers.phrases import Hit

_WHEN = frozenset({"when", "before", "since", "after"})
_MIGHT = frozenset({"i could", "might", "may need", "would have", "should have"})
"""What only supposes the verb right after it: "I could see the glow, so I touched it up" tells of an act."""


def no_event(line: Line, i: int) -> bool:
    """A wish or condition in the sentence; "when I", "I could" and the like only in the clause of token `i`, before it.

    An "if" after it and in a clause of its own leaves it: "I'm lighting it again, and that's it if you sit still".
    """
    first, last = line.clause(i)
    return any(
        first <= h.first < i if (word := h.value.split()[0]) in _WHEN or h.value in _MIGHT
        else word != "if" or h.first < last
        for h in line.find("count.not_event")
    )


_DOES = frozenset({"need", "needed", "necessary", "required", "called", "warranted"})
_NOTS = NOTS | {"hardly", "scarcely"}


def _not_called_for(line: Line, first: int, last: int) -> bool:
    """"isn't needed", "were never necessary" within tokens `[first, last)`."""
    words = {t.text for t in line.tokens[first:last]}
    return bool(_DOES & words and _NOTS & words)


_LATER = frozenset({"later", "tomorrow", "soon", "next", "if", "minute", "moment", "second", "bit"})
_WILL = frozenset({"'ll", "will", "gonna"})


def only_planned(line: Line, i: int) -> bool:
    """"I'll touch it up in a minute": meant for later; "I'll just touch that up" tells of what is done."""
    start, end = line.clause(i)
    before = [t.text for t in line.tokens[max(start, i - 4) : i]]
    going = "going" in before and before[-1:] == ["to"]
    after = [t.text for t in line.tokens[i:end]]
    timed = "in" in after and bool(_LATER & set(after[after.index("in") :]))
    return (bool(_WILL & set(before)) or going) and (timed or bool({"later", "tomorrow", "soon"} & set(after)))


def denied_again(line: Line) -> bool:
    """"No third touch-up", "I didn't have to relight it twice like last time": a further act denied tells of none, and
    of no number; "not once but twice", "it wasn't long before I relit it twice" and a denial in another clause do not
    deny it."""
    for i, token in enumerate(line.tokens):
        start, end = line.clause(i)
        nots = [h.last for h in line.find("count.none", start, i) if h.value not in ("not once", "never once")]
        left_over = bool(nots) and line.has("count.except", nots[-1], end)
        if not nots or left_over or _NOT_OF_IT & {t.text for t in line.tokens[start:i]}:
            continue
        if token.text == "twice" or (token.text in _NTH and any(
            h.first <= i + 2 for kind in ("touch_up", "relight") for h in line.find(f"{kind}.noun", i + 1, end)
        )):
            return True
    return False


_NOT_OF_IT = frozenset({"just", "only", "minutes", "bad", "long", "before", "until", "till", "so", "and", "because"})
_NTH = frozenset({"second", "third", "fourth", "fifth", "2nd", "3rd", "4th"})


_HOPES = frozenset({
    "hope", "hopes", "hoped", "hoping", "promise", "promises", "promised", "wish", "wishing", "praying", "expecting",
})
_HABIT = frozenset({"always", "usually", "normally", "typically", "generally", "tend", "tends", "mostly", "commonly"})
_NEEDING = frozenset({"need", "needs", "want", "wants", "take", "takes", "require", "requires"})


def not_told(line: Line, i: int) -> bool:
    """"These usually need a touch-up", "it could do with a second touch-up": a habit or wish before token `i`.

    So is what was only looked for, and what the speaker declines: "I'd expected to fix it twice", "I shan't touch it".
    """
    start, _ = line.clause(i)
    start = max([start, *(k for k in range(start, i) if line.tokens[k].text in ("but", "so"))])
    before = {t.text for t in line.tokens[start:i]}
    wished = "could" in before and bool({"do", "use"} & before)
    awaited = "expected" in before and "as" not in before and line.tokens[i - 1].text == "to"
    unwilling = bool({"shan't", "sha"} & before)
    if awaited or unwilling:
        return True
    generic = bool(_NEEDING & before and {"these", "they"} & before)
    return wished or generic or bool((_HOPES | _HABIT) & before)


def of_others(line: Line, i: int) -> bool:
    """"The last one of these went out twice": the clause of token `i` names one smoked before."""
    return line.has("count.last_one", *line.clause(i))


def habitual(line: Line, hit: Hit[str]) -> bool:
    """"This line always goes out on me", "I worry when it goes out": told of no one time."""
    start, _ = line.clause(hit.first)
    before = {t.text for t in line.tokens[start : hit.first]}
    present = bool({"goes", "dies", "go"} & {t.text for t in line.tokens[hit.first : hit.last]})
    return present and bool((_HABIT | {"when", "whenever"}) & before)


def unneeded(line: Line) -> bool:
    """An act thought of and not done: "I nearly touched it up"; "almost two hours" only measures."""
    if any(
        _not_called_for(line, h.last, min(line.clause(h.first)[1], h.last + 4))
        for kind in ("touch_up", "relight") for h in line.find(f"{kind}.noun")
    ):
        return True
    counted = {n.first for n in line.quantities.numbers} | {d.first for d in line.quantities.durations}
    return any(h.last not in counted for h in line.find("count.needless"))


def not_needed(line: Line, kind: str) -> list[Told]:
    """"touching up not needed", "touch-ups weren't required": none; "a second one wasn't necessary" is no none."""
    for hit in line.find(f"{kind}.noun") if line.section == "burn" else []:
        start, end = line.clause(hit.first)
        numbers = any(start <= n.first < hit.first for n in line.quantities.numbers)
        near = min(end, hit.last + 4)
        said = any(h.value in _UNNEEDED for h in line.find("count.needless", hit.last, near))
        rest = line.has("count.since", start, hit.first) or line.has("count.more", start, hit.first)
        if (said or _not_called_for(line, hit.last, near)) and not (numbers or rest or line.has("count.so_far")):
            return [Told(0, hit.first, end, "none")]
    return []


_UNNEEDED = frozenset({
    "not necessary", "not needed", "not required", "unnecessary", "wasn't needed", "wasn't necessary",
    "wasn't required", "not called for",
})
