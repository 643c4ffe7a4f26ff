"""Rule: the verdict that the talk comes to after a drink or food was named, in its sentence or in the ones that follow.

Refused: "my uncle swears by stout, and I tried it, so no"; "she can keep it"; "so none of that"; "cross that out".
Conceded: "he said stout, and I laughed, and he was right"; "I owe her an apology"; "I'd go along with him".
Mentioned: "that's just for the throat"; "only because it was open"; "it has no opinion about the cigar".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from voicedraft.read.pairings.tokens import Token

Verdict = Literal["yes", "no", "none", ""]

_IT = r"(?:it|that|this|them|those|these|that one|this one)"
_WHO = r"(?:he|she|they|you|[a-z]+)"
_THEY = r"it|that|this|they|those|which|the two of them|the pair of them|both of them"
_HOW = r"(?:(?:just|really|so|absolutely|very|pretty|simply|quite|about) )"
_PRAISE = (
    r"(?:spot on|perfect|lovely|great|wonderful|delicious|superb|champion|class|awesome|brilliant|grand|beautiful|"
    r"excellent|fantastic|terrific|magic|phenomenal|divine|heaven|heavenly|gorgeous|marvellous|marvelous|splendid|"
    r"a treat|a dream|on the money|right on|made for (?:it|each other)|right at home|just right)"
)
_BE = r"(?:is|was|were|'s|are|'re|am|'m)"
_REFUSED = (
    r"(?:^|[,;.] )(?:so|and|then|and so) (?:no|nope|nah|never)(?= ?[,;.!]|$)",
    rf"\bso (?:no|not|never|none)(?: of| to| for)? {_IT}(?= ?[,;.!]|$| again| either| for me)",
    rf"\b(?:no|none)(?: of| to) {_IT}(?= ?[,;.!]|$| for me)",
    rf"\b(?:{_BE}|'s|got|get|gets) (?:a|another) (?:firm |definite |clear |hard |big |flat )?no(?! -|-| ?[a-z]+er\b)"
    r"(?= ?[,;.!]|$| from| for| as well| too)",
    r"\banswer(?: is| was|'s| 's) no\b",
    rf"\b(?:cross|strike|rule|ruled|scratch|leave) {_IT} (?:out|off)\b",
    rf"\b{_WHO} (?:can|may|could|is welcome to|are welcome to) (?:keep|have|drink|eat) {_IT}(?= ?[,;.!]|$| to)",
    rf"\b(?:{_BE}) (?:rejected|ruled out|refused|struck off|off the list|turned down|out of the question)\b",
    rf"\b(?:he|she|they|[a-z]+ (?:would|'d) be|(?:he|she) (?:{_BE})) (?:dead |flat |just |plain |quite |simply )?"
    r"(?:wrong|mistaken)(?= ?[,;.!]|$)",
    r"\bi (?:would|do|did) (?:not|n't)(?= ?[,;.!]|$)",
    r"(?:^|[,;.] )(?:and )?never again(?= ?[,;.!]|$)",
    r"(?:^|[,;.] )(?:and )?not (?:a chance|on your life|for me|with this|with this one|with it)(?= ?[,;.!]|$)",
)
_CONCEDED = (
    rf"\bowe {_WHO}(?: [a-z]+)? an apology\b", r"\bi(?: [a-z']+){0,3} apologi[sz]ed?\b",
    rf"\b(?:take|took|taking) {_IT} (?:all )?back\b", r"\bstand corrected\b",
    r"\bi (?:was|'d been|had been) (?:quite |dead )?(?:mistaken|wrong)\b",
    r"\b(?:eat|ate|eating) my words\b",
    rf"\b{_WHO} (?:{_BE}) (?:(?:quite |dead |damn |absolutely |perfectly )?right|not wrong|n't wrong)"
    r"(?= ?[,;.!]|$)",
    rf"\b(?:go|went|going) along with {_WHO}\b",
    rf"\bhave to (?:hand|give) {_IT} to\b",
    rf"\b{_WHO} (?:{_BE}) on ?to (?:something|summat|a winner)\b", r"\bnever (?:once )?regretted\b",
    rf"\b(?:would|'d) (?:do|have|drink|eat|take) {_IT} (?:all )?(?:over )?again\b",
    rf"\b(?:{_THEY}) (?:{_BE}|(?:would|'d|will|'ll) be) {_HOW}*{_PRAISE}\b",
    r"\b(?:won|talked) me (?:over|round)\b", r"[,;.] (?:and |but )?(?:yes|aye)(?= ?[,;.!]|$)",
)
_MENTIONED = (
    rf"\b(?:that|it|this) (?:{_BE}) (?:just|only|merely|purely) (?:for|because|'cause|cos|to|how|what|who|my|me)\b",
    rf"\b(?:{_BE}) (?:only|just) (?:there )?(?:because|'cause|cause|cos|for the thirst|thirsty)\b",
    rf"\btake {_IT} back , (?:i mean|make|rather|say)\b",
    r"\bthat (?:is|'s|was) the only reason\b", r"\bfor (?:the|my|me|his|her) (?:throat|thirst)\b",
    r"\b(?:no|any|without an?) opinion\b", r"\bnothing to report\b",
    r"\b(?:anything|nothing|something) (?:for|to) it (?:either way|or against it|one way or)\b",
    r"\b(?:no|neither) harm (?:and|or|nor) (?:no )?good\b", r"\bneither here nor there\b",
    r"\b(?:does|did|do) (?:n't|not) count\b", rf"\bignore {_IT}\b", r"\bnothing to do with (?:it|anything|this)\b",
    r"\bwith (?:a different|another|some other|the other) (?:cigar|smoke|one)\b",
    r"\b(?:was|is|'s) n't doing anything for\b", rf"\b{_IT} (?:{_BE}) (?!the )[a-z]+ only(?= ?[,;.!]|$)",
    rf"\b(?:that|it) (?:{_BE}) all (?:there is|i can say|that can be said)\b",
)
_OTHER = re.compile(r"\b(?:different|another|other) (?:cigar|smoke|one)\b")
_ALONE = re.compile(r"(?:on|by|for) (?:its|their|his|her|it|them) ?(?:own|self|selves)\b|as an? [a-z]+\b")
_DENIALS = frozenset({"not", "n't", "never", "nobody", "no", "hardly"})


def verdict(tokens: Sequence[Token], later: Sequence[Token] = ()) -> Verdict:
    """The last verdict among the tokens, which follow a name up to the next one; nothing where there is none.

    `later`: the tokens of the sentences that go on about it.
    """
    text = " ".join(t.lower for t in [*tokens, *later])
    found: list[tuple[int, Verdict]] = []
    tables: tuple[tuple[tuple[str, ...], Verdict], ...] = (
        (_REFUSED, "no"), (_CONCEDED, "yes"), (_MENTIONED, "none"),
    )
    for patterns, meaning in tables:
        for pattern in patterns:
            found += [(m.end(), meaning) for m in re.finditer(pattern, text) if meaning != "yes" or _holds(text, m)]
    return max(found, default=(0, ""))[1]


def _holds(text: str, found: re.Match[str]) -> bool:
    """Whether praise is given here; not "I never said he was right", "with a different cigar, and there it was great",
    "great on their own", "it was perfect until it fought it"."""
    before = text[: found.start()].replace(",", " , ").split()[-4:]
    before = before[before.index(",") + 1 :] if "," in before else before
    other = _OTHER.search(text[: found.start()])
    elsewhere = other is not None and " this" not in text[other.end() : found.start()]
    after = text[found.end() :].split()
    spoilt = _ALONE.match(" ".join(after)) is not None or "until" in after[:1]
    return _DENIALS.isdisjoint(before) and not elsewhere and not spoilt
