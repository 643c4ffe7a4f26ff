"""Rule: a sentence that only tells the fate of what was named right before: "there was mint in it. So that's gone too."
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from voicedraft.read.descriptors.context import Mention
from voicedraft.read.descriptors.tokens import Tokens

_TURNED = frozenset({"but", "back", "nearly", "almost", "then", "until", "till", "down", "inch", "inches", "if"})
_LED = r"^(?:(?:so|and|well|but|now|then|anyway|yes|aye|yeah|no) (?:, )?)*"
_TOO = (
    r"(?:too|now|already|again|altogether|entirely|completely|obviously|as well|by now|anyway|"
    r", (?!the |my |our |this ).*)"
)
_END = rf"(?: {_TOO})*(?: ?[.!…].*)?$"
_GONE = re.compile(
    rf"{_LED}(?:(?:that|it|this) (?:'s|is|has|was) (?:all |long |already |now |clean )?(?:gone|vanished|disappeared)|"
    rf"there (?:'s|is|was) (?:none|nothing) (?:of (?:it|that|this) left|left of (?:it|that|this))){_END}"
)


def gone_after(row: Tokens, mentions: Sequence[Mention], n: int) -> bool:
    """Whether the sentence after the mention's says that it is gone, and only this flavour can be meant: the only one
    of its sentence, and none in the next. Not "it's gone out", "it's gone hot", which is the cigar, nor "it's gone, the
    ash", "it was gone, but now it's back"."""
    sentence = row.rows[mentions[n].first].sentence
    if sentence + 1 >= len(row.bounds):
        return False
    own = {m.key for m in mentions if row.rows[m.first].sentence == sentence}
    begin, end = row.bounds[sentence + 1]
    if len(own) > 1 or any(begin <= m.first < end for m in mentions):
        return False
    words = [t.lower for t in row.rows[begin:end]]
    return _TURNED.isdisjoint(words) and _GONE.match(" ".join(words)) is not None
