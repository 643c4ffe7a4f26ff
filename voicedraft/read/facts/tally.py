"""Adds up what is heard of one act over a session: events add, running numbers set, a total at the end stands."""

from __future__ import annotations

from dataclasses import dataclass

from voicedraft.read.facts.context import Line


@dataclass(frozen=True, slots=True)
class Told:
    """`count` at tokens `[first, last)`. `kind`: none, count, running (the nth), more (one act without a total),
    out (the fire went out), recalled (an act looked back on)."""

    count: int
    first: int
    last: int
    kind: str


_PENDING_LINES = 3
"""Sentences after a going-out within which the lighting again is told, and adds nothing of its own."""


@dataclass
class Tally:
    """What has been heard of one act so far."""

    count: int | None = None
    final: bool = False
    line: int = 0
    first: int = 0
    last: int = 0
    detail: str = ""
    unlit: int = 0
    """Goings-out counted whose lighting again was not told yet."""
    went_out: int = -99
    """Line of the latest going-out."""

    def add(self, line: Line, told: Told, final: bool) -> None:
        if told.kind == "recalled" and self.count:
            return
        count = self._lit(line, told)
        so_far = self.count or 0
        if told.kind in ("more", "out"):
            if self.final or (final and so_far and told.kind != "out") or count == 0:
                return
            count += so_far
        elif told.kind == "none" and so_far and (not final or line.has("count.since")):
            return
        elif told.kind == "count" and count == 1 and so_far and not final:
            count = so_far + 1
        elif (told.kind != "none" and count < so_far and not final) or (self.final and not final):
            return
        self.count, self.final, self.detail = count, self.final or final, told.kind
        self.line, (self.first, self.last) = line.index, line.span(told.first, told.last)

    def _lit(self, line: Line, told: Told) -> int:
        """The count told, less the goings-out that a lighting again belongs to."""
        if told.kind == "out":
            self.unlit, self.went_out = told.count, line.index
            return told.count
        waiting = self.unlit if line.index - self.went_out <= _PENDING_LINES else 0
        if told.kind == "more":
            self.unlit = 0
            return max(0, told.count - waiting)
        if told.kind == "count" and told.count == 1 and waiting and self.count:
            self.unlit = 0
            self.count -= 1
        return told.count
