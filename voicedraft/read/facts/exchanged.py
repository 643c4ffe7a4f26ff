"""Rule: one leaf exchanged for another told before: "the card says Ecuadorian, not Mexican", "not Java, it's Sumatra".

What is denied, or said to have been a guess, has to be told already, of the part that the sentence names or of one part
only; it gives way to the leaf right before the denial, or else to the next one said. Of a place or seed only that much
is exchanged: "Nicaraguan, Jalapa", then "not Jalapa, it's Condega", is Nicaraguan still.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voicedraft.read.facts.blend import Blend, same_origin
from voicedraft.read.facts.context import Line
from voicedraft.read.facts.leaves import Leaf
from voicedraft.read.facts.shared import PARTS
from voicedraft.read.facts.small_words import BEING, MODALS

_BACK = 5
"""Tokens between a leaf and the denial of another after it: "Honduran in the filler and not Peruvian"."""
_LISTED = frozenset({"and", "or", "plus", "with"})
_OTHERWISE = MODALS | {
    "if", "taste", "tastes", "tasted", "smell", "smells", "like", "usually", "normally", "than", "used", "instead",
    "rather",
}
"""Words of a clause that tells no leaf of this cigar, or no correction."""
_PIECE = frozenset({"bit", "part", "one", "leaf", "half", "thing", "that", "i", "said", "told", "you", "of", "it"})


def exchange(
    line: Line, leaves: Sequence[Leaf], cues: Sequence[tuple[int, int, str]], blend: Blend, guessed: bool
) -> list[Leaf] | None:
    """Puts one leaf in the place of another of the blend. The leaves that are left to read, or None where none was."""
    if line.asks:
        return None
    for k, old in enumerate(leaves):
        if not (_withdrawn(line, old) or _not(line, old)):
            continue
        new = _before(line, leaves, k) or _after(line, leaves, k)
        part = _part(blend, cues, old) if new is not None else None
        if new is None or part is None or _otherwise(line, new, old) or not _of_the_cigar(line, cues, (new, old)):
            continue
        after = [x for x in leaves[k + 1 :] if not _not(line, x) and _cue(cues, x) in (None, part)]
        if part == "filler" and new in after and len(after) > 1:
            _put_all(line, blend, after, guessed)
            return []
        _put(line, blend, part, old, new, guessed)
        return [x for x in leaves if x not in (old, new) and _cue(cues, x) not in (None, part)]
    return None


def _not(line: Line, leaf: Leaf) -> bool:
    """"Not Mexican", "it's not a Peruvian", "it isn't Corojo"."""
    start, _ = line.clause(leaf.first)
    before = [t.text for t in line.tokens[max(start, leaf.first - 3) : leaf.first]]
    nots = [i for i, word in enumerate(before) if word in _NOTS]
    alone = {"alone", "only", "just"} & {t.text for t in line.tokens[leaf.last : leaf.last + 1]}
    return bool(nots) and not alone and set(before[nots[-1] + 1 :]) <= {"a", "an", "the", "from", "of"}


_NOTS = frozenset({"not", "isn't", "ain't", "wasn't", "n't"})


def _withdrawn(line: Line, leaf: Leaf) -> bool:
    """"The Peru bit was a guess", "Mexican was wrong"."""
    _, end = line.clause(leaf.first)
    for hit in line.find("leaf.was_wrong", leaf.last, end):
        return {t.text for t in line.tokens[leaf.last : hit.first]} <= _PIECE
    return False


def _before(line: Line, leaves: Sequence[Leaf], k: int) -> Leaf | None:
    """The one leaf right before a denial: "Ecuadorian, not Mexican"; no list of leaves, nor one that is itself denied.
    """
    if k == 0 or leaves[k].first - leaves[k - 1].last > _BACK or _withdrawn(line, leaves[k]):
        return None
    new = leaves[k - 1]
    between = line.tokens[new.last : leaves[k].first]
    listed = k > 1 and _LISTED & {t.text for t in line.tokens[leaves[k - 2].last : new.first]}
    wrong = listed or _not(line, new) or _withdrawn(line, new) or any(t.stops for t in between)
    return None if wrong else new


def _after(line: Line, leaves: Sequence[Leaf], k: int) -> Leaf | None:
    """"Not Peruvian, it's Brazilian", "not Peruvian but Brazilian"."""
    if k + 1 == len(leaves) or _not(line, leaves[k + 1]):
        return None
    between = [t.text for t in line.tokens[leaves[k].last : leaves[k + 1].first]]
    stated = bool((BEING | {"'s", "but", "it's", "says"}) & set(between)) or len(between) <= 1
    return leaves[k + 1] if stated and not _LISTED & set(between[:1]) else None


def _cue(cues: Sequence[tuple[int, int, str]], leaf: Leaf) -> str | None:
    before = [part for _, last, part in cues if last <= leaf.first]
    return before[-1] if before else None


def _part(blend: Blend, cues: Sequence[tuple[int, int, str]], old: Leaf) -> str | None:
    """The part that the sentence names and that has the leaf; else the only part that has it."""
    told = [part for part in PARTS if any(_same(x, old) for x, _ in blend.parts.get(part, ()))]
    named = _cue(cues, old) or (cues[0][2] if len(cues) == 1 else None)
    if named is not None:
        return named if named in told else None
    return told[0] if len(told) == 1 else None


def _same(told: Leaf, old: Leaf) -> bool:
    return same_origin(told, old) if old.country else bool(old.words & told.words)


def _otherwise(line: Line, new: Leaf, old: Leaf) -> bool:
    first, last = min(new.first, old.first), max(new.last, old.last)
    start, _ = line.clause(first)
    other = any(line.other[i] for i in range(first, last))
    return other or bool(_OTHERWISE & {t.text for t in line.tokens[start:last]})


def _of_the_cigar(line: Line, cues: Sequence[tuple[int, int, str]], leaves: Sequence[Leaf]) -> bool:
    """"It's Condega, not Jalapa", "the shopkeeper says Ecuadorian": before either leaf in its clause stand only the
    cigar, a part of it, small words, and who or what tells it.

    "The man who blends it is Peruvian, not Dominican", "last year's had Nicaraguan" and "my wife calls it Canadian" are
    of something else, and no correction.
    """
    small = frozenset(line.words.listed("leaf.plainly"))
    papers = frozenset(line.words.listed("leaf.papers"))
    tellers = frozenset(line.words.listed("leaf.tellers"))
    tells = frozenset(line.words.listed("leaf.tells"))
    inside = {i for first, last, _ in cues for i in range(first, last)}
    inside.update(i for leaf in leaves for i in range(leaf.first, leaf.last))
    for leaf in leaves:
        start, _ = line.clause(leaf.first)
        words = {line.tokens[i].text for i in range(start, leaf.first) if i not in inside}
        if papers & words and tells & words:
            continue
        if not words <= small | tellers | tells or (tellers & words and not tells & words):
            return False
    return True


def _put(line: Line, blend: Blend, part: str, old: Leaf, new: Leaf, guessed: bool) -> None:
    found = blend.parts[part]
    k = next(i for i, (x, _) in enumerate(found) if _same(x, old))
    told = _exchanged(found[k][0], old, new)
    found[k] = (told, line)
    found[:] = [(x, where) for i, (x, where) in enumerate(found) if i == k or x.text != told.text]
    blend.guessed[part] = blend.guessed.get(part, False) and guessed
    blend.last.pop(part, None)
    blend.lately.pop(part, None)
    if not guessed:
        blend.righted.add(part)


def _put_all(line: Line, blend: Blend, new: Sequence[Leaf], guessed: bool) -> None:
    """"Paraguay was wrong, it's Peru, Dominican and Pennsylvania": the whole filler is told anew."""
    blend.put("filler", new, line, guessed)
    if not guessed:
        blend.righted.add("filler")


def _exchanged(told: Leaf, old: Leaf, new: Leaf) -> Leaf:
    """The leaf told, with the place or seed of `old` taken out and what `new` has put in; all of it another country's.
    """
    if old.country or (new.country and new.country != told.country):
        return new
    if not new.country and new.places and new.home not in (None, told.country or told.home):
        return new
    places = tuple(p for p in told.places if p not in old.places)
    seeds = tuple(s for s in told.seeds if s not in old.seeds)
    return replace(
        told, first=new.first, last=new.last, places=(*places, *new.places), seeds=(*seeds, *new.seeds),
        finish=new.finish or told.finish,
    )
