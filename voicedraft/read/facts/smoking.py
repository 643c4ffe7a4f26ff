"""Minutes that the smoke lasted: "an hour and 40 minutes", "ninety-five minutes total", "so that's eighty-five"."""

from __future__ import annotations

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.numbers import Duration

RANGE = (20.0, 300.0)
"""Minutes that a cigar can last, with room on both sides (common practice, no source)."""


_ELSEWHERE = ("burn", "aside", "palate", "final_third", "verdict")


def read_smoking(session: Session) -> list[Claim]:
    """Claims "smoking_minutes", told of the whole smoke."""
    out: list[Claim] = []
    for line in session.lines:
        claim = _line(line)
        out += [claim] if claim else []
    return out


def _line(line: Line) -> Claim | None:
    after = line.section == "burn" and line.stage in ("after", None)
    if not after and not (line.section in _ELSEWHERE and line.has("smoking.total")):
        return None
    spans = [d for d in line.quantities.durations if RANGE[0] <= d.minutes <= RANGE[1] and d.unit != "second"]
    spans = [d for d in spans if not line.other[d.first] and not _aside(line, d)]
    if not spans:
        return None
    chosen = spans[0]
    for span in spans[1:]:
        if line.corrected(chosen.last, span.first) or _concludes(line, span):
            chosen = span
    weight = 4 if after else 0
    weight += line.has("smoking.total", max(0, chosen.first - 6), min(chosen.last + 4, len(line.tokens)))
    if not after and weight < 1:
        return None
    first, last = line.span(chosen.first, chosen.last)
    detail = "time from lighting to the end"
    return Claim("smoking_minutes", chosen.minutes, line.index, first, last, detail, weight=weight)


def _aside(line: Line, span: Duration) -> bool:
    first, last = line.clause(span.first)
    return line.has("smoking.aside", first, last)


def _concludes(line: Line, span: Duration) -> bool:
    before = [t.text for t in line.tokens[max(0, span.first - 4) : span.first]]
    return bool({"so", "makes", "that", "gives", "is", "call"} & set(before))
