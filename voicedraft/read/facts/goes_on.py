"""Rule: a leaf told over two sentences: "The binder is Nicaraguan. It's corojo from Jalapa.".

The sentence right after goes on with "it", or is only more words of the leaf ("Criollo, from the Cibao."). It adds what
fits the country that was said, and nothing where it doubts, denies, corrects or asks.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce
from itertools import pairwise

from voicedraft.read.facts.blend import Blend, bare, fits, joined
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.hedges import is_guess
from voicedraft.read.facts.leaves import Leaf
from voicedraft.read.facts.part_words import coming
from voicedraft.read.facts.small_words import NOTS, SPEAKER

_PRONOUNS = frozenset({"it", "that", "it's", "that's", "its", "this"})
_LEADING = frozenset({
    "is", "'s", "was", "a", "an", "the", "all", "pure", "from", "mostly", "actually", "real", "good", "'d", "'ll", "be",
    "would", "will", "it", "that", "and", "of", "grown", "then", "some", "comes", "came", "out", "they", "say", "in",
})
_OWN_STORY = frozenset({"where", "when", "who", "i", "we", "he", "she", "my", "like", "than", "because", "other"})
"""Words that open something else between two leaves: "the Dominican Republic, where I was in the Cibao"."""
_GROWN = frozenset({"grown", "grows", "grew", "grow"})
_TAILS = frozenset({"seed", "leaf", "tobacco", "from", "out", "off", "grown", "and", "in", "type", "variety", "valley"})
"""Words that go on with a leaf's name; any other word makes it the subject of a sentence of its own."""
_NOT = NOTS | {"no", "without", "if"}


def goes_on(
    session: Session, line: Line, leaves: Sequence[Leaf], cues: Sequence[tuple[int, int, str]], blend: Blend
) -> list[Leaf]:
    """Adds what the sentence tells, before it names a part, to the leaf told right before; the leaves that are left."""
    more = [x for x in leaves if not cues or x.last <= cues[0][0]]
    if more and _added(session, line, more, blend):
        return [x for x in leaves if x not in more]
    return list(leaves)


def _added(session: Session, line: Line, leaves: Sequence[Leaf], blend: Blend) -> bool:
    told = [(part, found[0][0]) for part, found in blend.parts.items()
            if len(found) == 1 and blend.told_at(part) == line.index - 1]
    if len(told) != 1 or line.asks or session.guessing(line) or not _more_words(line, leaves):
        return False
    if _taken_back(line, leaves[-1].last) or _doubted(line, leaves):
        return False
    (part, old), new = told[0], reduce(joined, leaves)
    if blend.guessed.get(part) or (part == "filler" and sum(bare(x) for x in leaves) > 1):
        return False
    if line.has("country.made", 0, leaves[0].first) and not (coming(line) and new.places and bare(old)):
        return False
    if not all(fits(line, old, x) for x in leaves) or not _tells_more(line, old, new):
        return False
    blend.add_to(part, 0, new, line)
    return True


def _tells_more(line: Line, old: Leaf, new: Leaf) -> bool:
    """A place or seed of a country told; or, of a seed told, where it was grown."""
    if bare(old):
        return bool(new.places or new.seeds)
    if old.country and not old.places:
        return bool(new.places) and not new.seeds
    where = bool(new.country or new.places) and not new.seeds
    return bool(old.seeds) and not old.country and not old.places and where and bool(_GROWN & line.vocabulary)


def _more_words(line: Line, leaves: Sequence[Leaf]) -> bool:
    """Whether the sentence opens with "it's" or with the leaf's own name as a fragment."""
    before = [t.text for t in line.tokens[: leaves[0].first]]
    if any(tells_else(line, a, b) for a, b in pairwise(leaves)):
        return False
    last = leaves[-1].last
    if before and before[0] in _PRONOUNS:
        return set(before[1:]) <= _LEADING and not _cleft(line, last)
    if _own_story(line, last):
        return False
    if not set(before) <= {"a", "an", "and", "some", "from", "the", "out", "of", "grown", "in"}:
        return False
    last = leaves[0].last
    after = line.tokens[last] if last < len(line.tokens) else None
    return after is None or after.breaks or after.text in _TAILS


def tells_else(line: Line, a: Leaf, b: Leaf) -> bool:
    """Whether the words between two leaves tell of something else, or deny that they are one; "I thought Habano means
    one place, but this one they grew in Ecuador" tells of the leaf."""
    words = {t.text for t in line.tokens[a.last : b.first]}
    start, _ = line.clause(b.first)
    told = bool(_TELLING & words) or bool(_GROWN & {t.text for t in line.tokens[max(start, a.last) : b.first]})
    return bool(_OWN_STORY & words and not told) or ("as" in words and bool(_NOT & words))


def _cleft(line: Line, last: int) -> bool:
    """"It's Estelí where we met", "it's corojo that I dislike": the leaf is not what is told."""
    after = [t.text for t in line.tokens[last : last + 2]]
    return bool(after) and not line.tokens[last].breaks and (
        after[0] in ("where", "when", "who") or (after[0] == "that" and after[-1] in _SPEAKER)
    )


def _own_story(line: Line, last: int) -> bool:
    """"Jalapa, I went there once": a name alone and a clause of the speaker's own doings; "he said" is none."""
    for i in range(last, len(line.tokens)):
        start, end = line.clause(i)
        words = {t.text for t in line.tokens[max(start, last) : end]}
        if line.tokens[i].text in _SPEAKER and "if" not in words and not _TELLING & words:
            return True
    return False


_SPEAKER = SPEAKER | {"my", "our", "me", "us"}
_TELLING = frozenset({
    "said", "say", "says", "tell", "tells", "told", "read", "reads", "wrote", "written", "checked", "looked", "look",
    "believe",
})


def _doubted(line: Line, leaves: Sequence[Leaf]) -> bool:
    """Whether it is a guess, or the clause of a leaf or the one after holds a denial."""
    unsure = any(line.has(f"leaf.{path}") for path in ("guess", "unknown", "doubtful"))
    if unsure or any(is_guess(line, x.first, x.last) for x in leaves):
        return True
    for leaf in leaves:
        start, end = line.clause(leaf.first)
        end = max(end, leaf.last)
        _, after = line.clause(end) if end < len(line.tokens) else (0, end)
        words = [t.text for t in line.tokens[start:end]]
        wished = "would" in words[leaf.last - start :]
        own = wished or line.has("leaf.unsure", start, end) or bool(_NOT & set(words))
        if own or _denied_after(line, end, after):
            return True
    return False


def _denied_after(line: Line, first: int, last: int) -> bool:
    """"Olor, they couldn't get"; "Criollo, if I can read it" is none."""
    words = [t.text for t in line.tokens[first:last]]
    return bool((NOTS | {"no", "would"}) & set(words)) and words[:1] != ["if"]


def _taken_back(line: Line, last: int) -> bool:
    """Whether the words up to the leaf, or a clause that opens after it, take something back."""
    if line.corrected(0, last):
        return True
    return any(h.first - line.clause(h.first)[0] <= 1 for h in line.find("correction", last) if h.value not in _READING)


_READING = frozenset({"let me read", "let me check", "let me look", "i'm looking at"})
