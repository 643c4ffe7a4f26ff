"""Rule: a name that the speaker strikes out, or puts another in the place of, was not meant: "smoked mackerel, no,
scrap that, almond tart"; "port, sorry, I meant sherry"; "a stout, let me start again, a porter"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from voicedraft.read.pairings.tokens import Token

_STRUCK = re.compile(
    r"(?:^|[,;.!?—–-] )(?:(?:no|and|but|actually|oh|wait|hang on|hm|sorry) (?:, )?)*"
    r"(?:(?:scrap|strike|scratch|belay|delete|erase|rewind) (?:that|this)(?: one)?(?= ?[,;.!—–-]|$| from)"
    r"|(?:let me|i 'll) (?:start|begin) (?:again|over|afresh)(?= ?[,;.!—–-]|$)"
    r"|let me rephrase(?: that)?(?= ?[,;.!—–-]|$))"
)
_MEANT = re.compile(
    r"^ ?[,;.—–-] (?:(?:no|sorry|wait|hang on|er|um) (?:, )?)+i (?:mean|meant)(?: to say)?(?: ,)?(?: an?| the| some)?$"
)


def retracted(tokens: Sequence[Token], last: int, stop: int, later: Sequence[Token] = ()) -> bool:
    """Whether the name that ends at `last` is taken back before the next other name, at `stop`.

    later: the tokens of the sentences that go on about it: "sherry. Scrap that."
    """
    ahead = later if stop == len(tokens) else ()
    text = " ".join(t.lower for t in [*tokens[last:stop], *ahead])
    return _STRUCK.search(text) is not None or (stop < len(tokens) and _MEANT.search(text) is not None)
