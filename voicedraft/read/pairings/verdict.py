"""Rule: the verdict that the talk comes to after a drink or food was named, in its sentence or in the ones that follow.

Refused: "my uncle swears by stout, and I tried it, so no"; "she can keep it"; "so none of that"; "cross that out".
Conceded: "he said stout, and I laughed, and he was right"; "I owe her an apology"; "I'd go along with him".
Mentioned: "that's just for the throat"; "only because it was open"; "it has no opinion about the cigar".
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from voicedraft.read.denial import NOT
from voicedraft.read.pairings.people import PEOPLE
from voicedraft.read.pairings.spoilt import spoilt
from voicedraft.read.pairings.tokens import Token

Verdict = Literal["yes", "no", "none", ""]

_IT = r"(?P<it>it|that|this|them|those|these|that one|this one)"
_WHO = r"(?P<who>[a-z]+)"
_THEY = r"it|that|this|they|those|which|the two of them|the pair of them|both of them"
HOW = r"(?:(?:just|really|so|absolutely|very|pretty|simply|quite|about) )"
PRAISE = (
    r"(?:spot on|perfect|lovely|great|wonderful|delicious|superb|champion|class|awesome|brilliant|grand|beautiful|"
    r"excellent|fantastic|terrific|magic|phenomenal|divine|heaven|heavenly|gorgeous|marvellous|marvelous|splendid|"
    r"smashing|glorious|sublime|tremendous|stunning|"
    r"a treat|a dream|on the money|right on|made for (?:it|each other)|right at home|just right)"
)
AFTER_PRAISE = (
    r" ?[,;.!?:—-]|$| (?:with|together|alongside|beside|against|next|and|but|too|here|so|until|till|from|actually|"
    r"really|again|for (?:it|this|these|the cigar|the smoke)|in (?:it|this)|as |on (?:its|their) own)"
)
"""What may follow praise of a pairing: not "perfect weather", "great for the sauce", "lovely out there"."""
_PAIR = r"(?:the )?(?:two|pair|both)(?: of them)?"
_RUED = r"(?:punished|robbed|cheated|sorry|shortchanged|disappointed|ashamed)"
_BE = r"(?:is|was|were|'s|are|'re|am|'m)"
_RUING = (
    rf"\b(?P<rued>i|you|we) (?:would|'d|will|'ll) (?:only |just )?(?:be {_RUED}|(?:live to )?regret (?:it|that))"
    r"(?= ?[,;.!]|$| for| if)"
)
_REFUSED = (
    r"(?:^|[,;.] )(?:so|and|then|and so)(?: ,)? (?:no|nope|nah|never|(?:absolutely|certainly|definitely) not)"
    r"(?: sir| ma'am| way| thanks| thank you)?"
    r"(?= ?[;.!]|$| , (?:not|no|thank|thanks|never|it|that|this|sorry|absolutely|certainly|definitely)\b)",
    rf"\bso (?:no|not|never|none)(?: of| to| for)? {_IT}(?= ?[,;.!]|$| again| either| for me)",
    rf"\b(?:no|none)(?: of| to) {_IT}(?= ?[,;.!]|$| for me)",
    rf"\b(?:{_BE}|'s|got|get|gets) (?:a|another) (?:firm |definite |clear |hard |big |flat )?no(?! -|-| ?[a-z]+er\b)"
    r"(?= ?[,;.!]|$| from| for| as well| too)",
    rf"\b(?:overrule|disagree with|contradict) {_WHO}\b", r"\banswer(?: is| was|'s| 's) no\b",
    rf"\b(?:cross|strike|rule|ruled|scratch|leave) {_IT} (?:out|off)\b",
    rf"\b{_WHO} (?:can|may|could|is welcome to|are welcome to) (?:keep|have|drink|eat) {_IT}(?= ?[,;.!]|$| to)",
    rf"\b(?:{_BE}) (?:rejected|ruled out|refused|struck off|off the list|turned down|out of the question)\b",
    rf"\b{_WHO} (?:(?:would|'d) be|{_BE}) (?:dead |flat |just |plain |quite |simply )?"
    r"(?:wrong|mistaken)(?= ?[,;.!]|$)",
    r"\bi would (?:not|n't)(?= ?[,;.!]|$)",
    r"\b(?:like|love|enjoy|want)[a-z]*\b[^.;]{0,30} i (?:do|did) (?:not|n't)(?= ?[,;.!]|$)",
    r"(?:^|[,;.] )(?:and )?never again(?= ?[,;.!]|$)",
    r"(?<!not )(?<!n't )(?<!never )\b(?:as|is|are|was|were|'s|under) (?:an? |the |another )?"
    r"(?:thing|things|one|ones|something|drink|food) (?:to|i 'd) (?:avoid|skip|shun|leave (?:out|off|alone))\b",
    rf"\b(?P<it>they|{_PAIR}) (?:(?:{_BE}|do|did|would|will|wo|are|were) (?:not|n't)|never|hardly|barely)"
    r"(?: really| quite| going to| ever)? (?:on (?:good |speaking |the best of )?terms|speaking|friends|"
    r"(?:get|got|getting|go|going) (?:on|along|together)|agree|agreed|mix|mixed)\b",
    _RUING,
    r"(?:^|[,;.] )(?:and |but |though )?not (?:a chance|on your life|for me|with this|with this one|with it)"
    r"(?= ?[,;.!]|$)",
)
_CONCEDED = (
    rf"\bowe {_WHO}(?: [a-z]+)? an apology\b", r"\bi(?: [a-z']+){0,3} apologi[sz]ed?\b",
    rf"\b(?P<back>take|took|taking) {_IT} (?:all )?back\b(?! to\b)", r"\bstand corrected\b",
    r"\bi (?:was|'d been|had been) (?:quite |dead )?(?:mistaken|wrong)\b",
    r"\b(?:eat|ate|eating) my words\b",
    rf"\b{_WHO} (?:{_BE}) (?:(?:quite |dead |damn |absolutely |perfectly )?right|not wrong|n't wrong)"
    r"(?= ?[,;.!]|$)",
    rf"\b(?:go|went|going) along with {_WHO}\b",
    rf"\bhave to (?:hand|give) {_IT} to\b",
    rf"\b{_WHO} (?:{_BE}) on ?to (?:something|summat|a winner)\b", r"\bnever (?:once )?regretted\b",
    rf"\b(?:would|'d) (?:do|have|drink|eat|take) {_IT} (?:all )?(?:over )?again\b",
    r"\b(?:not|never|n't) look(?:ed)? back\b",
    r"\b(?:won|talked) me (?:over|round)\b",
    r"[,;.] (?:and |but )?(?:actually |well |oh |hell |okay )?(?:yes|aye)(?= ?[,;.!]|$)",
)
_PRAISED = (
    rf"\b(?P<it>they|{_PAIR}) (?:both |really |just )?(?:get|got) (?:on|along)\b(?! my| the| to)",
    rf"\b(?:{_THEY}) (?:{_BE}|(?:would|'d|will|'ll) be) {HOW}*{PRAISE}\b(?={AFTER_PRAISE})",
    rf"\b(?:{_THEY}) (?:would|'d) (?:also )?be {HOW}*(?:nice|good|fine|welcome)\b(?={AFTER_PRAISE})",
)
_MENTIONED = (
    rf"\b(?P<returned>take|took|taken) {_IT} (?:all )?back\b",
    rf"\b(?:that|it|this) (?:{_BE}) (?:just|only|merely|purely) (?:for|because|'cause|cos|to|how|what|who|my|me)\b",
    rf"\b(?:{_BE}) (?:only|just) (?:there )?(?:because|'cause|cause|cos|for the thirst|thirsty)\b",
    rf"\btake {_IT} back , (?:i mean|make|rather|say)\b",
    r"\bthat (?:is|'s|was) the only reason\b", r"\bfor (?:the|my|me|his|her) (?:throat|thirst)\b",
    r"\b(?:no|any|without an?) opinion\b"
    r"(?= ?[,;.!]|$| either| at all| (?:about|on|of) (?:it|this|that|the (?:cigar|smoke)))",
    r"\bnothing to report\b", r"\bsaid (?:nobody|no one)\b",
    r"\b(?:anything|nothing|something) (?:for|to) it (?:either way|or against it|one way or)\b",
    r"\b(?:no|neither) harm (?:and|or|nor) (?:no )?good\b", r"\bneither here nor there\b",
    r"\b(?:it|that|this|which|they|those|so) (?:does|did|do) (?:n't|not) count\b", rf"\bignore {_IT}\b",
    r"\bnothing to do with (?P<it>it|anything|this)\b",
    r"\bwith (?:a different|another|some other|the other) (?:cigar|smoke|one)\b",
    r"\b(?:was|is|'s) n't doing anything for\b", rf"\b{_IT} (?:{_BE}) (?!the )[a-z]+ only(?= ?[,;.!]|$)",
    rf"\b(?:that|it) (?:{_BE}) all (?:there is|i can say|that can be said)\b(?! to (?:say|it))",
)
_CLAIMING = frozenset({"say", "tell", "claim", "reckon", "think", "insist"})
_PROPOSING = frozenset({
    "say", "tell", "suggest", "propose", "swear", "insist", "recommend", "reckon", "think", "offer", "advise", "vote",
    "ask", "laugh", "sneer", "doubt", "mock", "argue", "idea", "suggestion", "tip", "advice", "bring", "pour", "serve",
    "hand", "give", "have", "drink", "eat", "take", "put", "want", "like", "love", "call", "write", "send", "tease",
})
"""What somebody does with a drink or food before the speaker agrees or disagrees."""
_SPOKEN = _CLAIMING | {"swear", "call", "laugh", "doubt", "mock", "write", "argue", "dismiss", "curse", "sneer", "word",
                       "suggest", "propose", "recommend", "advise", "right", "wrong", "should"}
"""What is said against a drink or food, and may be taken back; a corked wine is taken back to the shop."""
_LEAVING = frozenset({
    "skip", "avoid", "miss", "leave", "refuse", "forget", "decline", "without", "no", "not", "n't", "never", "if",
    "unless", "or", "else", "otherwise",
})
"""With these it is the going without that one would rue: "skip the stout and you'd be sorry"."""
_NEAR = 12
"""Tokens before a verdict in which its "it" may be named; our own choice, no outside source."""
_OTHER = re.compile(r"\b(?:different|another|other) (?:cigar|smoke|one)\b")
_ALONE = re.compile(r"(?:on|by|for) (?:its|their|his|her|it|them) ?(?:own|self|selves)\b|as an? [a-z]+\b")
_DENIALS = NOT | {"nobody", "hardly"}


def verdict(tokens: Sequence[Token], later: Sequence[Token] = (), before: Sequence[Token] = ()) -> Verdict:
    """The last verdict among the tokens, which follow a name up to the next one; nothing where there is none.

    `later`: the tokens of the sentences that go on about it. `before`: those of its own sentence up to it.
    """
    said = [*tokens, *later]
    text = " ".join(t.lower for t in said)
    found: list[tuple[int, Verdict]] = [*spoilt(said)]
    tables: tuple[tuple[tuple[str, ...], Verdict], ...] = (
        (_REFUSED, "no"), (_CONCEDED, "yes"), (_PRAISED, "yes"), (_MENTIONED, "none"),
    )
    for patterns, meaning in tables:
        for pattern in patterns:
            for match in re.finditer(pattern, text):
                passed = said[: text[: match.start()].count(" ")]
                if (meaning != "yes" or _holds(text, match)) and _meant(match, passed, before) and not (
                    patterns is _PRAISED and _hearsay(text, match)
                ):
                    found.append((match.end(), meaning))
    return max(found, default=(0, ""))[1]


def rued(tokens: Sequence[Token]) -> bool:
    """Whether the words say that one would rue it: "(skip the stout) and you'd be sorry"."""
    return re.search(_RUING, " ".join(t.lower for t in tokens)) is not None


def _meant(found: re.Match[str], passed: Sequence[Token], before: Sequence[Token]) -> bool:
    """Whether the person and the thing of the verdict are the ones that the talk is about.

    Not "says the draw is tight, and he's right", "the burn was right", "the phone kept ringing, but ignore it".
    """
    groups = found.groupdict()
    who = groups.get("who")
    if who is not None:
        named = {t.lower for t in before if t.pos in ("NOUN", "PROPN")}
        known = who in named | PEOPLE | {"you", "i", "him", "her", "them"}
        told = [*before, *passed]
        claims = {"right", "wrong", "mistaken"}.intersection(found.group().split())
        claimed = claims and any(t.lemma in _CLAIMING and t.dep != "ccomp" for t in passed)
        proposed = claims or any(t.lemma in _PROPOSING or t.lower == "for" for t in told)
        if not known or claimed or not proposed or _iffy(passed):
            return False
    if groups.get("rued") and any(t.lemma in _LEAVING or t.lower in _LEAVING for t in [*before, *passed][-_NEAR:]):
        return False
    if groups.get("back") or groups.get("returned"):
        spoken = any(t.lemma in _SPOKEN for t in [*before, *passed])
        return spoken if groups.get("back") else not spoken
    if groups.get("it") is None:
        return True
    return not any(t.dep == "nsubj" and t.pos == "NOUN" and t.lower not in PEOPLE for t in passed[-_NEAR:])


def _iffy(passed: Sequence[Token]) -> bool:
    """Whether a condition stands right before: "if anyone tells you it's cheap he would be wrong"."""
    return any(t.lower in ("if", "unless") for t in passed[-_NEAR:])


def _hearsay(text: str, found: re.Match[str]) -> bool:
    """"He said it was perfect", "they were great, he told me", "said nobody ever": another's praise."""
    before, after = text[: found.start()].split()[-4:], text[found.end() :].lstrip(" ,").split()[:3]
    third = {"he", "she", "they", "nobody"}
    return any(
        not third.isdisjoint(words) and not {"said", "says", "told", "reckons", "reckoned"}.isdisjoint(words)
        for words in (before, after)
    )


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
