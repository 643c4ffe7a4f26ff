"""Which sentences tell of a touch-up or a relight: each is weighed whole, by its signs and its vector.

The rules know listed words; here an act told in other words ("a kiss of flame on the slow side") is found, and a listed
word that tells of none ("who has my torch?") is left. A sentence tells of no act, or that none was done, that one
was, how many there were by now, or, of the fire, that it went out: these compete.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import exp
from typing import Any

import numpy as np

from voicedraft.read.facts.acts import goings_out, puts_right
from voicedraft.read.facts.context import Line
from voicedraft.read.facts.other_things import burns_else, other_fire
from voicedraft.read.facts.supposed import denied_again, habitual, not_told, of_others, only_planned, unneeded
from voicedraft.read.facts.tally import Told
from voicedraft.read.numbers.phrases import Hit
from voicedraft.read.sign_weights import SignWeights
from voicedraft.read.vectors import DIMENSIONS

KINDS: Mapping[str, tuple[str, ...]] = {
    "touch_up": ("none", "one", "many"), "relight": ("none", "one", "many", "out"),
}
"""Act → what a sentence may tell of it; the role of the weights is "touch_up none" and so on."""
LISTS = (
    *(f"touch_up.{x}" for x in ("objects", "tools", "noun", "small", "flames", "lighting", "counted", "tool_only",
                                "repeat", "event", "doubtful")),
    *(f"relight.{x}" for x in ("stayed", "out", "fire", "left", "again", "plain_again", "noun", "event")),
    *(f"count.{x}" for x in ("except", "zero", "needless", "more", "of_record", "marks", "then", "summing",
                             "once_more", "since", "none", "once", "twice", "thrice", "so_far", "total", "not_event")),
    "other_cigar", "this_cigar", "denied",
)
"""Phrase lists of lexicon/facts.toml that are signs where the sentence holds a phrase of theirs."""
LEFT = 0.98
"""Chance of telling nothing from which what a rule read is left; our own choice, no outside source: a rule's reading is
dropped only where the sentence hardly tells of the act."""
FOUND = 0.7
"""Chance of telling something from which a sentence counts that no rule read; our own choice, no outside source: above
even odds, since what was not said must stay blank."""
SKIPPED = frozenset({"pairings", "value", "background", "prelight"})
"""Sections in which nothing is told of acts."""
_SHORT = 5
"""Words below which a sentence is short; our own choice, no outside source."""


def act_signs(line: Line, small_numbers: int) -> tuple[str, ...]:
    """The signs of a sentence. small_numbers: how many numbers in it may count acts."""
    out = {f"section={line.section}", f"stage={line.stage}", f"small={min(2, small_numbers)}"}
    out |= {f"ls {path}" for path in line.words.index(LISTS).held(line.tokens)}
    words = _words(line)
    out |= {f"w {t.lemma_.lower()}" for t in words if t.pos_ not in ("NUM", "PROPN")}
    for verb in (t for t in words if t.pos_ == "VERB"):
        subjects = {c.lower_ for c in verb.children if c.dep_ in ("nsubj", "nsubjpass")}
        out.add(f"v {verb.lemma_.lower()} {_who(subjects)}")
    if line.asks:
        out.add("?")
    if any(line.other):
        out.add("other")
    if len(words) < _SHORT:
        out.add("short")
    return tuple(sorted(out))


def _words(line: Line) -> list[Any]:
    """spaCy's words of the line's tokens."""
    if line.doc is None or not line.tokens:
        return []
    first, last = bisect_left(line.starts, line.tokens[0].start), bisect_left(line.starts, line.tokens[-1].end)
    return [t for t in line.doc[first:last] if not t.is_punct]


def _who(subjects: set[str]) -> str:
    if subjects & {"i", "we"}:
        return "speaker"
    return "it" if subjects & {"it", "she", "he", "they", "that", "this"} else "other" if subjects else "nobody"


@dataclass(frozen=True, eq=False)
class Alongs:
    """Log-odds of each role along the sentence vectors, for all lines at once: line → role → odds."""

    odds: Mapping[int, Mapping[str, float]]

    def likely(self, line: Line) -> bool:
        """Whether the sentence's vector leaves it open that it tells of an act; signs are looked for only then."""
        return any(x > CLOSED for x in self.odds.get(line.index, {}).values())


CLOSED = -6.0
"""Log-odds along the vector at or below which a sentence tells of no act, whatever its signs: in folds, 2 % of
those that tell of one are at or below it all the same, nearly all of them read by rules."""
_ROLES = tuple(f"{kind} {told}" for kind, all_ in KINDS.items() for told in all_)


def alongs(lines: Sequence[Line], weights: SignWeights) -> Alongs:
    """The lines' odds along their vectors; all 0 where no vectors were fitted."""
    none = np.zeros(DIMENSIONS, np.float32)
    vectors = np.array([none if x.encoded is None else x.encoded.sentence for x in lines], np.float32)
    table = np.array([weights.vectors.get(role, none) for role in _ROLES], np.float32)
    start = [weights.roles.get(role, {}).get("", 0.0) for role in _ROLES]
    odds = (vectors.reshape(-1, DIMENSIONS) @ table.T + np.array(start, np.float32)).tolist()
    return Alongs({line.index: dict(zip(_ROLES, row, strict=True)) for line, row in zip(lines, odds, strict=True)})


def chances(kind: str, signs: Sequence[str], along: Mapping[str, float], weights: SignWeights) -> dict[str, float]:
    """Chance of each thing that the sentence may tell of the act; "" is nothing."""
    shares = {"": 1.0}
    for told in KINDS[kind]:
        role = f"{kind} {told}"
        table = weights.roles.get(role)
        shares[told] = 0.0 if table is None else exp(min(_MOST, along[role] + sum(table.get(s, 0.0) for s in signs)))
    total = sum(shares.values())
    return {told: share / total for told, share in shares.items()}


_MOST = 50.0
"""Log-odds above which a chance is as good as certain; our own bound, exp(50) is far within a float (IEEE 754)."""


def weighed(
    ruled: list[Told], share: Mapping[str, float], line: Line, number: Hit[int] | None, answers: bool = False
) -> list[Told]:
    """What the rules read, unless the sentence hardly tells of the act; else what it likely tells.

    A touch-up denied in plain words ("I never touched it up") stands whatever else the sentence tells.
    Acts of another cigar or of another fire, a candle's, are left in either case.

    number: the number in it that may count acts, with its tokens. answers: the sentence before is a question.
    """
    ruled = [x for x in ruled if not all(line.other[x.first : x.last]) and not other_fire(line, x.first)]
    if ruled and answers:
        return ruled
    if ruled:
        plain = all(x.kind == "none" for x in ruled) and "out" not in share and puts_right(line)
        return ruled if share[""] <= LEFT or plain else []
    gone = "out" in share and line.has("relight.out") and not goings_out(line)
    if 1 - share[""] <= FOUND or any(line.other) or gone or _only_supposed(line):
        return []
    told = max((k for k in share if k), key=lambda k: share[k])
    if told == "none" and share[told] <= FOUND:
        return []
    first, last = (number.first, number.last) if number is not None else (0, len(line.tokens))
    if told == "none":
        return [Told(0, first, last, "none")]
    if told == "out":
        return [Told(1, first, last, "out")]
    summed = number is not None and any(h.last == number.first for h in line.find("count.total", 0, number.first))
    count = number.value if number is not None and (told == "many" or summed) else 1
    return [Told(count, first, last, "running" if count > 1 else "more")]


def _only_supposed(line: Line) -> bool:
    """What no learned odds make an act: a question, a wish, a habit, another fire, what is only about to be done, a
    correction of what was said of a part ("a correction to the middle, I left out fig")."""
    if line.has("count.of_the_talk") and "correction" in line.vocabulary and line.section not in ("burn", "aside"):
        return True
    if line.asks or announces(line) or unneeded(line) or _REPORTED & line.vocabulary:
        return True
    if line.has("count.needless") or line.has("count.not_event") or other_fire(line, 0):
        return True
    if burns_else(line) or denied_again(line):
        return True
    if any(habitual(line, h) for h in line.find("relight.out")):
        return True
    return any(not_told(line, i) or of_others(line, i) or only_planned(line, i) for i in range(1, len(line.tokens)))


_REPORTED = frozenset({"asked", "asks", "wondered", "wonders"})


def announces(line: Line) -> bool:
    """"Let me fix something first": in other talk than of the burn, what is only about to be done is no act."""
    opening = tuple(t.text for t in line.tokens[:_OPENING])
    return line.section != "burn" and any(opening[i : i + 2] == ("let", "me") for i in range(_OPENING - 1))


_OPENING = 4
"""Tokens within which a sentence opens; our own choice, no outside source."""
