"""Acts only supposed: "if it goes out", "I nearly touched it up", "a touch-up wasn't needed"."""

from __future__ import annotations

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.tally import Told

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


def unneeded(line: Line) -> bool:
    """An act thought of and not done: "I nearly touched it up"; "almost two hours" only measures."""
    counted = {n.first for n in line.quantities.numbers} | {d.first for d in line.quantities.durations}
    return any(h.last not in counted for h in line.find("count.needless"))


def not_needed(line: Line, kind: str) -> list[Told]:
    """"touching up not needed", "touch-ups weren't required": none; "a second one wasn't necessary" is no none."""
    for hit in line.find(f"{kind}.noun") if line.section == "burn" else []:
        start, end = line.clause(hit.first)
        numbers = any(start <= n.first < hit.first for n in line.quantities.numbers)
        if any(h.value in _UNNEEDED for h in line.find("count.needless", hit.last, min(end, hit.last + 4))) and not (
            numbers or line.has("count.since", start, hit.first) or line.has("count.more", start, hit.first)
        ):
            return [Told(0, hit.first, end, "none")]
    return []


_UNNEEDED = frozenset({
    "not necessary", "not needed", "not required", "unnecessary", "wasn't needed", "wasn't necessary",
    "wasn't required", "not called for",
})
