"""The first lighting: "two goes with the torch and she was away" is no touch-up.

Until the first puff is told of, a flame lights the cigar. Only an act that says of itself that it puts something right
("touched that up", "straightened the edge") is a touch-up there; and no relight is told in other talk before the smoke.
"""

from __future__ import annotations

from voicedraft.read.facts.acts import puts_right
from voicedraft.read.facts.context import Line, Session


def lights_up(session: Session, line: Line, kind: str) -> bool:
    """Whether what the line tells of a flame is the first lighting, or nothing of this cigar at all."""
    if line.index >= session.opening:
        return False
    if line.section != "burn":
        return line.section not in ("verdict", "palate")
    if line.stage not in (None, "first"):
        return False
    return kind == "touch_up" and not puts_right(line) and not line.has("count.none")
