"""What a cue rule is."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

NUMBER = (
    r"(?:\d[\d.,]*|a|an|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty|forty"
    r"|fifty|sixty|seventy|eighty|ninety|half|quarter)"
)
"""A number in digits or as a common number word, as part of a pattern."""


@dataclass(frozen=True, slots=True)
class Hit:
    """Rule `number` of the list saw characters `[first, last)` of the sentence."""

    number: int
    first: int
    last: int


@dataclass(frozen=True)
class Cue:
    """`patterns` are matched in the sentence in lower case, any of them. `says` completes "this cue means that …"."""

    name: str
    says: str
    patterns: tuple[str, ...]
    compiled: tuple[re.Pattern[str], ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "compiled", tuple(re.compile(p) for p in self.patterns))
