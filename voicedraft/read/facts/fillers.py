"""The filler's leaves: each leaf named is weighed by itself, so that a list told in pieces comes together.

The rules' own list counts for its leaves; a leaf that they did not give to the filler needs to be surer.
"""

from __future__ import annotations

from collections.abc import Sequence

from voicedraft.read.facts.claims import HEAVY, Claim, best
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.either import either_of_two
from voicedraft.read.facts.not_leaf import mixed, no_leaf
from voicedraft.read.facts.part_words import named_for_another, part_words
from voicedraft.read.facts.pieced import pieced
from voicedraft.read.facts.seen import Seen
from voicedraft.read.numbers.tokens import fold
from voicedraft.read.sign_weights import SignWeights

FILLER = "filler"
TRUST = 1.0
"""Log-odds that the rules' own choice of a leaf counts."""
SURE, SURE_BESIDE = 1.0, 1.5
"""Log-odds from which a leaf that the rules did not give to the filler is one of it: alone, and beside their own list.
"""
DOUBT = 0.0
"""Log-odds below which a leaf of the rules' list is none of it."""
_MOST = 5
"""Leaves of a filler (common practice, no source)."""


def decide_filler(session: Session, claims: list[Claim], seen: Sequence[Seen], weights: SignWeights) -> list[Claim]:
    """The claims with the filler's leaves as weighed; the rules' own list where nothing speaks against it."""
    stated = best([c for c in claims if c.name == FILLER])
    ruled = stated if stated is not None and not stated.guessed else None
    listed: list[str] = list(dict.fromkeys(ruled.value)) if ruled is not None else []
    told = [(one, weights.weigh(FILLER, one.signs, one.vector)) for one in seen]
    righted = ruled is not None and ruled.weight >= HEAVY
    since = ruled.line if ruled is not None and righted else 0
    kept = [text for text in listed if righted or _odds(text, told) > DOUBT]
    barred = [*listed, *(one.candidate.value for one in seen if "denied" in one.signs)]
    least = SURE_BESIDE if listed else SURE
    added = [
        (one, odds) for one, odds in told
        if odds > least and not session.guessing(one.candidate.line) and not _supposed(session, one)
        and not any(_shares(one.candidate.value, text) for text in barred)
        and one.candidate.line.index >= since
    ]
    texts = list(kept)
    for one, _ in added:
        texts = _with(texts, one.candidate.value)
    if texts == listed or not texts or len(texts) > _MOST:
        return claims
    return [*(c for c in claims if c is not ruled), pieced(FILLER, ruled, texts, added, weights)]


def _odds(text: str, told: Sequence[tuple[Seen, float]]) -> float:
    """The best odds of any place where the leaf is named; the rules' own choice counts."""
    own = [odds for one, odds in told if _shares(one.candidate.value, text)]
    return max(own, default=0.0) + TRUST


def _with(texts: list[str], new: str) -> list[str]:
    """The list with one leaf more; of two that say the same the fuller stays."""
    for i, text in enumerate(texts):
        if _shares(text, new):
            return [*texts[:i], max(text, new, key=len), *texts[i + 1 :]]
    return [*texts, new]


def _supposed(session: Session, one: Seen) -> bool:
    """Only asked or guessed, told of what is no leaf, of another part, or of where it is rolled."""
    line = one.candidate.line
    first, last = one.candidate.first, one.candidate.last
    if no_leaf(line, first, last) or either_of_two(line, first, last) or not _leaf_talk(session, line):
        return True
    if named_for_another(line, FILLER):
        return True
    named = any(part == FILLER for _, _, part in part_words(line))
    if not named and any(line.has(path, 0, one.candidate.first) for path in ("country.made", "country.withdrawn")):
        return True
    return line.asks or line.has("leaf.guess") or line.has("leaf.doubtful") or "guess" in one.signs


_BEFORE = 2
"""Sentences before a leaf in which its part may be named; our own choice, no outside source."""


def _leaf_talk(session: Session, line: Line) -> bool:
    """Whether leaf is talked of here or just before, or a list is put right: odds alone make no filler of a flag."""
    seeds = any(hit.value.kind == "seed" for hit in line.words.leaves.find(line.tokens))
    if seeds or line.has("leaf.talk") or part_words(line) or mixed(line):
        return True
    start = 0 if line.has("correction") else max(0, line.index - _BEFORE)
    return any(x.has(path) for x in session.lines[start : line.index + 1] for path in _FILLED)


_FILLED = (f"leaf.{FILLER}", "leaf.more", "leaf.under", "leaf.whole")


def _shares(a: str, b: str) -> bool:
    """Whether one leaf's words are all in the other's."""
    x, y = (set(fold(t).replace(",", " ").split()) for t in (a, b))
    return x <= y or y <= x
