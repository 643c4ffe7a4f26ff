"""The name of the size: a size name told of the cigar in hand."""

from __future__ import annotations

from voicedraft.read.facts.claims import HEAVY, Claim
from voicedraft.read.facts.context import Line, Session, Vitola
from voicedraft.read.numbers.phrases import Hit


def read_vitola(session: Session) -> list[Claim]:
    """Claims "vitola". Runs before the words of other cigars are known, and needs none of them but its own."""
    out: list[Claim] = []
    for line in session.lines:
        hits = line.words.vitolas.find(line.tokens)
        for hit in hits:
            earlier = bool(out) and all(c.line < line.index for c in out)
            claim = _claim(session, line, hit, len(hits), earlier)
            if claim is not None:
                out.append(claim)
    return out


def _claim(session: Session, line: Line, hit: Hit[Vitola], count: int, earlier: bool) -> Claim | None:
    if hit.last - hit.first == 1 and line.tokens[hit.first].text in COMMON and line.section != "background":
        return None
    weight = {"background": 4, "value": 0, "verdict": 0, "appearance": 1, "aside": 1}.get(line.section, -4)
    first, _ = line.clause(hit.first)
    near = max(0, hit.first - 6)
    if line.has("vitola.strong", near, hit.first):
        weight += 3
    elif line.has("vitola.weak", max(first, hit.first - 3), hit.first):
        weight += 1
    if hit.first <= 1:
        weight += 1
    if _sized(line, hit):
        weight += 1
    if line.has("other_cigar", max(0, hit.first - 8), hit.last) and not line.has("vitola.strong", near, hit.first):
        weight -= 4
    if count > 1 and not line.has("vitola.strong", near, hit.first) and not line.corrected(0, hit.first):
        weight -= 2
    people = line.find("price.people", 0, hit.first)
    if people and not line.has("this_cigar", people[-1].last, hit.first) and not line.has(
        "vitola.giver", people[-1].last
    ):
        weight -= 6
    if line.turn is not None:
        weight += 4 if hit.first > line.turn else -6
    if line.denied(hit.first, 2) or line.has("correction", hit.last, min(hit.last + 2, len(line.tokens))):
        weight -= 8
    elif earlier and line.section == "background" and line.has("correction", 0, hit.first):
        weight += 4
    if count > 1 and _of_the_one_in_hand(line, hit) and not line.denied(hit.first, 2):
        weight = HEAVY
    elif _of_another(line, hit):
        weight -= 8
    if weight < 3:
        return None
    a, b = line.span(hit.first, hit.last)
    return Claim("vitola", hit.value.said, line.index, a, b, "size name", weight=weight, guessed=_guess(session, line))


COMMON = frozenset({"president", "magnum", "shaped", "pyramid", "genio", "corto", "sixty"})


def _of_another(line: Line, hit: Hit[Vitola]) -> bool:
    """"The one I have at home is a churchill", "the one I bought for my brother": not the one that is smoked."""
    had = line.find("vitola.in_hand", 0, hit.first)
    near = bool(had) and hit.first - had[-1].last <= _REACH
    return near and line.has("vitola.not_in_hand", had[-1].last, hit.first)


def _of_the_one_in_hand(line: Line, hit: Hit[Vitola]) -> bool:
    """"There's a petit corona, and the one I have, which they call a toro": only words that name it stand between, and
    not "the one I have at home is", "the one I bought for my brother is"."""
    had = line.find("vitola.in_hand", 0, hit.first)
    if not had or hit.first - had[-1].last > _REACH or any(t.stops for t in line.tokens[had[-1].last : hit.first + 1]):
        return False
    between = [t.text for t in line.tokens[had[-1].last : hit.first]]
    return set(between) <= frozenset(line.words.listed("vitola.in_hand_is"))


_REACH = 8
"""Tokens between "the one I have" and its size; our own choice, no outside source."""


def _sized(line: Line, hit: Hit[Vitola]) -> bool:
    """Numbers of a size follow within the sentence."""
    q = line.quantities
    return any(s.first >= hit.last and s.first - hit.last <= 12 for s in q.sizes) or any(
        x.first >= hit.last and x.first - hit.last <= 6 for x in q.lengths
    )


def _guess(session: Session, line: Line) -> bool:
    return session.hedging(line)
