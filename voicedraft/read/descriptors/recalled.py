"""Rule: a flavour of an earlier part, told by where it was: "I liked the clove in the middle", "that pepper at the
start".

It is no entry of the part in which it is recalled.
"""

from __future__ import annotations

import re

from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.tokens import Tokens
from voicedraft.types import DescriptorStage

_DEFINITE = frozenset({"the", "that", "those"})
_REACH = 4
"""Words back to the article of a name; our own choice."""
_END = r"(?= ?[,.;!]| |$)"
_START = re.compile(rf"(?:right |back )?(?:at the (?:start|beginning)|early on|in the first third){_END}(?! of\b)")
_MIDDLE = re.compile(
    rf"(?:passage |part |bit |note )?(?:right |back )?(?:in the (?:middle|second third|middle third)){_END}(?! of\b)"
)
_STILL = frozenset({
    "still", "again", "back", "now", "as", "like", "than", "here", "never", "end", "throughout", "returned", "returns",
    "stays", "stayed", "remains", "keeps", "kept", "lingers", "continues", "carries", "same", "each", "every",
})
"""Words of its clause with which it is, or may be, here too."""


def recalled(row: Tokens, m: Mention, stage: DescriptorStage) -> bool:
    """Whether the words right behind the definite name tell of a part that is over at `stage`."""
    rows = row.rows
    begin, end = row.bounds[rows[m.first].sentence]
    lead = [t.lower for t in rows[max(begin, m.first - _REACH) : m.first]]
    first, last = row.stretch(m.first, m.last)
    own = [t.lower for t in rows[first:last]]
    if first == begin and own[0] == "like":  # A liking, or "liked" as it was heard.
        own = own[1:]
    if _DEFINITE.isdisjoint(lead) or not _STILL.isdisjoint(own):
        return False
    after = " ".join(t.lower for t in rows[m.last : end])
    return (stage in ("second", "final") and _START.match(after) is not None) or (
        stage == "final" and _MIDDLE.match(after) is not None
    )
