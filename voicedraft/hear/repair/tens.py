"""Tens that the recogniser wrote as a range: "seven to one minutes" for seventy-one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from voicedraft.hear.repair.proposal import Proposal

CONFIDENCE = 0.9
_ONES = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
_TENS = ("", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_UNITS = frozenset({"percent", "minutes", "degrees"})
"""Not money: a price that came down is told the same way, "nine to eight dollars"."""
_NO_TENS = frozenset(("less", "off", "odds", "chance", "chances", "bet", "ratio"))
_FALLING = _NO_TENS | frozenset((
    "from", "fell", "fall", "falls", "falling", "fallen", "drop", "drops", "dropped", "dropping", "down", "lost",
    "lose", "loses", "losing", "went", "gone", "goes", "going", "came", "cut", "reduced", "lowered", "sank", "slid",
    "shrank", "shrunk", "score", "won", "beat", "no",
))
"""Words before it with which such a range may be meant: a fall, odds, a score, a number put right; of them only those
of `_NO_TENS` count behind it ("minutes from light down to the nub")."""
_CLOCK = frozenset(("at", "by", "past", "until", "till", "before", "ago", "away", "later", "since", "o'clock"))
_REACH = 6
"""Words on either side in which those count; our own choice."""


class Tens:
    """Finds a range of what is counted that would run downwards, or nowhere: nobody says one."""

    def propose(self, words: Sequence[str], stops: frozenset[int], odds: Sequence[float]) -> Iterator[Proposal]:
        """A repair for each such range; see `Proposer`."""
        for first in range(len(words) - 3):
            tens, joint, ones, unit = words[first : first + 4]
            counted = unit in _UNITS or (unit == "per" and words[first + 4 : first + 5] == ["cent"])
            if joint != "to" or not counted or stops.intersection(range(first, first + 3)):
                continue
            high, low = _digit(tens), _digit(ones)
            if high < 2 or not 0 < low <= high or _goes_on(words, stops, first) or _meant(words, stops, first):
                continue
            right = f"{high}{low}" if tens.isdigit() else f"{_TENS[high - 1]}-{_ONES[low - 1]}"
            yield Proposal(first, first + 3, right, CONFIDENCE, f"no range runs downwards; sounds like “{right}”")


def _digit(word: str) -> int:
    """1 to 9, 0 where the word is none of them."""
    if word in _ONES:
        return _ONES.index(word) + 1
    return int(word) if len(word) == 1 and word.isdigit() else 0


def _goes_on(words: Sequence[str], stops: frozenset[int], first: int) -> bool:
    """Whether the number began before: "from five to two percent", "down twenty-six to five minutes"."""
    before = words[first - 1] if first and first - 1 not in stops else ""
    return before in ("from", "point", "oh", "and", "hundred", "thousand") or before in _TENS[1:] or before.isdigit()


def _meant(words: Sequence[str], stops: frozenset[int], first: int) -> bool:
    """Whether it may be said as it stands: "humidity fell seven to five percent", "at five to two, minutes later"."""
    begin, end = first, first + 4
    while begin and begin > first - _REACH and begin - 1 not in stops:
        begin -= 1
    while end < len(words) and end < first + 4 + _REACH and end - 1 not in stops:
        end += 1
    before, behind = words[begin:first], words[first + 4 : end]
    clock = words[first + 3] == "minutes" and not _CLOCK.isdisjoint((*before[-2:], *behind[:2]))
    return clock or not _FALLING.isdisjoint(before) or not _NO_TENS.isdisjoint(behind)
