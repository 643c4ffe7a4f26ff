"""Rule: what somebody else does not think goes with it is only mentioned, unless the speaker sides with them: "he
doesn't think coffee goes with it" states nothing; "..., and he's right" refuses coffee, "..., but he's wrong" wants it.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from voicedraft.read.denial import NOT
from voicedraft.read.pairings.tokens import Token

THINKING = frozenset({"think", "believe", "reckon", "suppose", "imagine", "feel", "see", "find"})
_TURNS = frozenset({"so", "but", "because", "when", "while", "if", "till", "until", "of", "about"})
"""With these between the thought and the name it is no longer what was thought: "he didn't think, so I had a rum"."""
_WHO = r"(?:he|she|they)"
_BE = r"(?:'s|is|was|'re|are|were)(?: [a-z]+)?"
_AGREED = re.compile(
    rf"\b{_WHO} {_BE} (?:right|correct|spot on)\b|\bi (?:quite |fully |tend to )?agree\b|"
    r"\b(?:nor|neither) do (?:i|we)\b|\bi do n't either\b"
)
_OPPOSED = re.compile(rf"\b{_WHO} {_BE} (?:wrong|mistaken)\b|\bbut (?:i|we) do\b|\bi (?:disagree|beg to differ)\b")


def doubted(tokens: Sequence[Token], span: tuple[int, int]) -> Literal["yes", "no", "none", ""]:
    """What another's denied thought says of the name at `span`, which it is about."""
    lead = [t for t in tokens[: span[0]] if t.clause == tokens[span[0]].clause]
    at = next((i for i in reversed(range(len(lead))) if lead[i].lemma in THINKING and lead[i].pos == "VERB"), None)
    if at is None or any(t.lower in _TURNS for t in lead[at + 1 :]):
        return ""
    who = next((t for t in reversed(lead[:at]) if t.dep == "nsubj"), None)
    if who is None or who.lower in ("i", "we") or (who.lower == "you" and tokens[-1].text != "?"):
        return ""
    if not any(t.lower in NOT for t in lead[:at]) or any(t.lower == "do" for t in lead[:1]):
        return ""
    after = " ".join(t.lower for t in tokens[span[1] :])
    agreed, opposed = _AGREED.search(after) is not None, _OPPOSED.search(after) is not None
    if agreed == opposed:
        return "none"
    return "no" if agreed else "yes"
