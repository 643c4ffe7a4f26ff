"""Acts done to the fire, by grammar: a verb in any form with what it is done to or done with.

"I straightened the line", "ran the torch down the side", "it was corrected" are touch-ups; "lit it again", "gave fire
again", "revived" are relights; "it went out", "died on me" are goings-out.
"""

from __future__ import annotations

from bisect import bisect_right
from functools import lru_cache

from voicedraft.read.facts.context import Line
from voicedraft.read.numbers.phrases import Hit

_REACH = 7
"""Tokens after the verb within which its object or tool stands."""
_IRREGULAR = {
    "light": ("lit",), "give": ("gave", "given"), "put": (), "hold": ("held",), "take": ("took", "taken"), "hit": (),
    "run": ("ran",), "burn": ("burnt",), "bring": ("brought",), "catch": ("caught",), "wake": ("woke", "woken"),
    "relight": ("relit",), "lay": ("laid",),
}
_SELF = frozenset({"itself", "himself", "herself", "themselves", "unaided", "own", "alone"})
_BE = frozenset({"was", "were", "be", "been", "got", "get", "is", "being", "needed", "needs", "wanted", "wants"})


@lru_cache(maxsize=256)
def forms(verb: str) -> frozenset[str]:
    """The forms of an English verb: "level" gives levels, levelled, leveled, levelling, leveling and itself."""
    stem = verb[:-1] if verb.endswith("e") else verb
    soft = verb[:-1] + "i" if verb.endswith("y") and verb[-2:-1] not in "aeiou" else ""
    out = {verb, verb + "s", verb + "es", stem + "ed", stem + "ing", *_IRREGULAR.get(verb, ())}
    if soft:
        out |= {soft + "es", soft + "ed"}
    if verb[-1] not in "aeiouwxy" and verb[-2:-1] in tuple("aeiou"):
        out |= {verb + verb[-1] + "ed", verb + verb[-1] + "ing"}
    return frozenset(out)


@lru_cache(maxsize=8)
def _all_forms(verbs: tuple[str, ...]) -> frozenset[str]:
    return frozenset(f for verb in verbs for f in forms(verb))


def _verbs(line: Line, path: str) -> frozenset[str]:
    return _all_forms(line.words.listed(path))


def touch_ups(line: Line) -> list[Hit[str]]:
    """Touch-ups told by a verb with the line, its side or a flame; several of one clause count as one."""
    known = _verbs(line, "touch_up.verbs")
    if known.isdisjoint(line.vocabulary):
        return []
    plain = _verbs(line, "touch_up.plain_verbs")
    bare = frozenset(line.words.listed("touch_up.verbs"))
    out: list[Hit[str]] = []
    for i, token in enumerate(line.tokens):
        if token.text not in known or (out and i < out[-1].last):
            continue
        if token.text == "touch" and i and line.tokens[i - 1].text == "a":
            continue
        if token.text in bare and tagged(line, i) in _NO_VERB:
            continue
        last = _touched(line, i, token.text in plain)
        if last is not None:
            out.append(Hit("touch-up", i, last))
    return out


def tagged(line: Line, i: int) -> str:
    """spaCy's part of speech of the word that holds token `i`; "" where there is none."""
    if line.doc is None or not line.starts:
        return ""
    return str(line.doc[max(0, bisect_right(line.starts, line.tokens[i].start) - 1)].pos_)


_NO_VERB = frozenset({"ADJ", "ADV", "NOUN", "PROPN"})
"""Parts of speech in which a bare form does nothing: "burned level", "the draw", "dead even"."""


def puts_right(line: Line) -> bool:
    """Whether the line names an act that can only put the burn right, not light it: "touched that up", "a fix"."""
    bare, plain = frozenset(line.words.listed("touch_up.verbs")), _verbs(line, "touch_up.plain_verbs")
    return bool(line.find("touch_up.noun")) or any(
        t.text in plain and t.text not in _STATES and not (t.text in bare and tagged(line, i) in _NO_VERB)
        for i, t in enumerate(line.tokens)
    )


_STATES = frozenset({
    "torch", "torched", "torching", "evened", "levelled", "leveled", "even", "level", "settled", "settle",
})
"""Forms that a first lighting is told with as well: "it evened out", "torched it all round"."""


def _touched(line: Line, i: int, plain: bool) -> int | None:
    """The token after the act that the verb at `i` tells, or None."""
    end = _end(line, i)
    if any(t.text in _SELF for t in line.tokens[i:end]):
        return None
    before = {t.text for t in line.tokens[max(0, i - 3) : i]}
    lit = line.has("relight.again", i, end) and line.has("relight.out")
    near = end if plain else _clause_end(line, i, end)
    for hit in [] if lit else line.find("touch_up.tools", i + 1, near):
        told = plain or line.has("touch_up.objects", i + 1, min(len(line.tokens), i + 12))
        if told or (line.section == "burn" and not line.has("relight.again", i, end)):
            return hit.last if not _lights(line, i) else None
    if not plain:
        return None
    for hit in line.find("touch_up.objects", i + 1, end):
        return hit.last
    if line.section != "burn":
        return None
    after = line.tokens[i + 1] if i + 1 < len(line.tokens) else None
    if after is not None and not after.breaks and after.text in ("it", "her", "him", "them"):
        return i + 2
    ends = after is None or after.breaks
    if ends and line.has("count.none", max(0, i - 3), i):
        return i + 1
    done = line.tokens[i].text.endswith(("ed", "ing"))
    return i + 1 if done and before & _BE and not line.has("relight.again", i, end) else None


def tooled(line: Line) -> list[Hit[str]]:
    """A flame in the talk of the burn, where nothing is lit and nothing went out: "the lighter had a word"."""
    if line.section != "burn":
        return []
    lit = [*line.find("touch_up.lighting"), *relights(line)]
    if any(not line.has("count.none", max(0, h.first - 3), h.first) for h in lit):
        return []
    if any(not line.has("count.none", line.clause(h.first)[0], h.first) for h in line.find("relight.out")):
        return []
    if not (_DONE & line.vocabulary or any(len(t.text) > 4 and t.text.endswith(("ed", "ing")) for t in line.tokens)):
        return []
    return line.find("touch_up.flames")[:1]


_DONE = frozenset({
    "gave", "took", "ran", "put", "held", "had", "got", "went", "brought", "let", "lent", "showed", "came", "did",
    "made", "met", "sent", "fed", "swept", "set", "kept", "saw", "needs", "once", "twice", "again", "given",
    "taken", "wants", "cost", "now",
})


def small_acts(line: Line) -> list[Hit[str]]:
    """Words that name a touch-up only in the talk of the burn, and only counted: "another kiss", "one touch"."""
    if line.section not in ("burn", "aside"):
        return []
    out: list[Hit[str]] = []
    for hit in line.find("touch_up.small"):
        before = line.tokens[hit.first - 1].text if hit.first and not line.tokens[hit.first].breaks else ""
        counted = before in _COUNTING or any(n.last == hit.first for n in line.quantities.numbers)
        of = hit.last < len(line.tokens) and line.tokens[hit.last].text == "of"
        if counted and (not of or line.has("touch_up.tools", hit.last, hit.last + 3)):
            out.append(hit)
    if line.section == "burn" and not line.has("relight.out"):
        out += line.find("touch_up.counted")
    return out


_COUNTING = frozenset({"another", "more", "single", "quick", "wee", "little", "no", "final", "last", "small"})


def _clause_end(line: Line, i: int, end: int) -> int:
    return next((k for k in range(i + 1, end) if line.tokens[k].breaks), end)


def _lights(line: Line, i: int) -> bool:
    return line.tokens[i].text in forms("light")


def _end(line: Line, i: int) -> int:
    end = i + 1
    while end < min(len(line.tokens), i + 1 + _REACH) and not line.tokens[end].stops:
        end += 1
    return end


def relights(line: Line) -> list[Hit[str]]:
    """Lightings after the first: "lit it again", "gave fire again", "revived with one match"."""
    known = _verbs(line, "relight.verbs")
    plain = _verbs(line, "relight.plain_verbs")
    out: list[Hit[str]] = []
    for i, token in enumerate(line.tokens):
        if out and i < out[-1].last:
            continue
        fired = token.text in forms("give") and line.has("relight.fire", i + 1, min(len(line.tokens), i + 4))
        if token.text in plain and not (i and line.tokens[i - 1].text in ("the", "that", "this", "a")):
            out.append(Hit("relight", i, i + 1))
        elif fired or (token.text in known and _does(line, i)):
            again = line.find("relight.again", i + 1, _end(line, i))
            earlier = line.find("relight.again", max(0, i - 4), i)
            if again:
                out.append(Hit("relight", i, again[0].last))
            elif (earlier or fired) and line.section == "burn" and token.text in (*forms("light"), *forms("give")):
                out.append(Hit("relight", i, i + 1))
    return out


def _does(line: Line, i: int) -> bool:
    """The word is a verb here: no "the light", "a fire"; verbs other than "light" need "it" or "up" after them."""
    if i and line.tokens[i - 1].text in _NOUN:
        return False
    if line.tokens[i].text in forms("light"):
        return True
    return [t.text for t in line.tokens[i + 1 : i + 2]] in (["it"], ["her"], ["him"], ["up"], ["them"])


_NOUN = frozenset({"a", "the", "of", "some", "light", "that", "this", "draught", "is", "very", "'s"})
_OWNERS = frozenset({"it", "she", "he", "her", "him", "cigar", "fire", "thing", "that", "this", "and", "also", "again"})
_PEOPLE = frozenset({"i", "we", "they", "you", "sun", "power", "lights", "dog", "cat", "wife", "husband", "who"})


_LEANS = frozenset({
    "want", "wants", "wanted", "tries", "tried", "trying", "threatens", "threatened", "threatening", "inclined",
})
"""Before "to go out": it only leans to it."""
_HELPING = frozenset({"'d", "'ve", "had", "have", "just", "'m", "am", "was", "only", "'s", "has"})
_FLAMES = frozenset({"match", "matches", "lighter", "torch", "lighters", "box"})
"""What is taken out, not gone out: "the matches out again"."""


def _placed(line: Line, hit: Hit[str]) -> bool:
    """"it's out there", "she's out of the woods", "it was out with the torch": somewhere or taken out, not gone out."""
    after = [t.text for t in line.tokens[hit.last : hit.last + 2] if not t.breaks]
    if line.tokens[hit.last - 1].text == "dead" and after[:1] and after[0] in _DEAD:
        return True
    ends = line.tokens[hit.last - 1].text == "out"
    if ends and after[:1] == ["with"]:
        near = (hit.last + 1, min(hit.last + 4, len(line.tokens)))
        return line.has("touch_up.tools", *near) or line.has("count.other_fires", *near)
    return ends and (after[:1] in (["there"], ["here"], ["of"], ["ahead"]) or after == ["in", "front"])


_DEAD = frozenset({
    "even", "level", "straight", "on", "easy", "good", "simple", "right", "flat", "calm", "still", "quiet", "square",
    "true", "round", "nice", "centre", "center", "smooth", "soft", "slow", "happy", "pleased", "keen", "open",
})
"""After "dead", which then only makes much of it: "the draw was dead even"."""


def goings_out(line: Line) -> list[Hit[str]]:
    """Places where the fire goes out: "it went out", "died on me", "put it out"; never "I went out"."""
    out: list[Hit[str]] = []
    for hit in line.find("relight.out"):
        before = [t.text for t in line.tokens[max(0, hit.first - 4) : hit.first]]
        subject = next((x for x in reversed(before) if x not in _HELPING), "")
        leans = before[-1:] == ["to"] and bool(_LEANS & set(before[-2:-1]))
        if leans or before[-2:] in (["did", "it"], ["did", "she"]):
            continue
        taken = bool(before) and (before[-1] in _FLAMES or subject in line.words.listed("count.other_fires"))
        if line.tokens[hit.last - 1].text == "cold" and line.has("count.cools", line.clause(hit.first)[0], hit.first):
            continue
        if line.other[hit.first] or subject in _PEOPLE or taken or _placed(line, hit):
            continue
        if line.section == "burn" or _OWNERS & set(before):
            out.append(hit)
    return out
