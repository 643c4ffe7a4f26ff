"""Wrapper, binder and filler: leaf names given to the part that the sentence names.

A part stays in force to the end of its sentence, and for one further sentence where it was only asked about. A leaf
right before a part ("Brazilian binder") is that part's. "Not X, Y" puts Y in the place of X, wherever X stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voicedraft.read.facts.blend import Blend, fits, joined, same_origin
from voicedraft.read.facts.claims import HEAVY, Claim
from voicedraft.read.facts.concluded import concludes
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.either import either_of_two
from voicedraft.read.facts.exchanged import exchange
from voicedraft.read.facts.goes_on import goes_on, tells_else
from voicedraft.read.facts.hedges import affirmed, uncertain
from voicedraft.read.facts.leaf_put_right import replies, turns
from voicedraft.read.facts.leaves import Leaf, find_leaves
from voicedraft.read.facts.not_leaf import mixed, no_leaf
from voicedraft.read.facts.open_place import announced, takes_open_place
from voicedraft.read.facts.part_words import coming, part_words
from voicedraft.read.facts.referred import apposed, points_back, refer
from voicedraft.read.facts.shared import PARTS, beneath, of_one, same_as, share_part
from voicedraft.read.facts.small_words import BEING, MODALS

_FLAVOUR = frozenset({"first_third", "second_third", "final_third", "prelight", "pairings", "palate"})
_BEFORE = frozenset({"leaf", "for", "as", "a", "the", "on", "is", "tobacco", "seed", "one", "long", "short", "mixed"})


def read_leaf(session: Session) -> list[Claim]:
    """Claims "wrapper", "binder" (text) and "filler" (list of texts)."""
    blend = Blend()
    for line in session.lines:
        _read_line(session, line, blend)
    return _claims(blend)


def _read_line(session: Session, line: Line, blend: Blend) -> None:
    hits = line.words.leaves.find(line.tokens)
    cues = part_words(line)
    found = find_leaves(line.tokens, hits, 0, len(line.tokens))
    if found and not cues and line.section == "background" and replies(session, line, found, blend):
        blend.waiting = None
        return
    leaves = [x for x in found if not line.other[x.first] and not no_leaf(line, x.first, x.last)]
    if not leaves or (line.section == "aside" and not cues):
        if not leaves and cues and line.section == "background":
            _copy(session, line, cues, blend)
        waiting = blend.waiting if not leaves else None
        blend.waiting = None if line.has("leaf.unknown") else _asked(line, cues, waiting)
        return
    if not cues and line.has("country.made") and not coming(line):
        return
    if _told_in_talk(line, cues) and turns(session, line, leaves, cues, blend):
        return
    turn = line.turn
    if turn is not None and leaves[-1].first > turn:
        leaves = [x for x in leaves if x.first > turn]
    if not _told_in_talk(line, cues):
        return
    left = exchange(line, leaves, cues, blend, session.guessing(line))
    if left is not None:
        blend.waiting = None
        leaves = left
        if not leaves:
            return
    leaves = goes_on(session, line, leaves, cues, blend)
    if not leaves or (not cues and line.has("country.made")):
        blend.waiting = None
        return
    leaves = apposed(line, leaves, cues)
    if not session.guessing(line):
        leaves = refer(line, leaves, blend)
    leaves = _not_made(line, leaves, cues)
    given = _assign(line, leaves, cues, blend.waiting)
    blend.waiting = None
    guessed = session.guessing(line) or line.has("leaf.guess")
    for part, found in given.items():
        kept = _settle(line, part, found)
        if kept:
            _add(line, blend, part, kept, guessed or _unsure(line, kept))


def _told_in_talk(line: Line, cues: Sequence[tuple[int, int, str]]) -> bool:
    """Whether leaves are told in such a sentence: of the background, or elsewhere where a part is named."""
    return line.section not in _FLAVOUR and (line.section == "background" or bool(cues))


def _not_made(line: Line, leaves: list[Leaf], cues: Sequence[tuple[int, int, str]]) -> list[Leaf]:
    """Without the places that tell where it is rolled: "plus Piloto, and it's rolled in Nicaragua"."""
    of_leaf = {h.first for h in coming(line)}
    made = [h.last for h in line.find("country.made") if h.first not in of_leaf]
    parts = [last for _, last, _ in cues]

    def rolled(leaf: Leaf) -> bool:
        before = [m for m in made if m <= leaf.first]
        return bool(before and parts and parts[0] < before[-1]) and not any(
            before[-1] < p <= leaf.first for p in parts
        ) and _part_after(line, leaf, cues) is None

    return [x for x in leaves if not rolled(x)]


def _copy(session: Session, line: Line, cues: Sequence[tuple[int, int, str]], blend: Blend) -> None:
    """"Binder, same again": a part without a leaf of its own has the one told last."""
    part = cues[-1][2]
    told = [(leaf, where) for found in blend.parts.values() for leaf, where in found]
    if blend.parts.get(part) or not told or line.has("leaf.unknown") or not line.has("leaf.same", cues[-1][1]):
        return
    leaf, where = max(told, key=lambda t: (t[1].index, t[0].last))
    if line.has("leaf.same_country") and leaf.country:
        leaf = replace(leaf, seeds=(), places=(), finish=())
    if line.index - where.index <= 2:
        blend.put(part, [replace(leaf, first=cues[-1][0], last=cues[-1][1])], line, session.guessing(line))


def _unsure(line: Line, leaves: Sequence[Leaf]) -> bool:
    """"The binder, he figured maybe Mexican": doubt stands close to the leaf, and nothing settles it."""
    near = any(_near_doubt(line, x) for x in leaves)
    near = near or line.has("leaf.doubtful")
    one = any(either_of_two(line, x.first, x.last) for x in leaves) and not any(
        concludes(line, x.first, x.last) for x in leaves
    )
    return ((near or one) and not line.has("leaf.settled")) or any(uncertain(line, x.first, x.last) for x in leaves)


_DOUBT = 6
"""Tokens on either side of a leaf within which a doubt stands; our own choice, no outside source."""


def _near_doubt(line: Line, leaf: Leaf) -> bool:
    """A doubt around the leaf: none before a correction ("could be Mexican, no, it's Brazilian"), nor after it in a
    clause of its own that goes on ("Habano, and I always figured that means one place"), nor one that is lifted."""
    if affirmed(line, leaf.first, leaf.last):
        return False
    start = max(0, leaf.first - _DOUBT)
    if line.corrected(start, leaf.first, strict=True):
        start = max([start, *(h.last for h in line.find("correction", start, leaf.first))])
    doubts = line.find("leaf.unsure", start, _aside(line, leaf.last, leaf.last + _DOUBT))
    return not all(_goes_on(line, h.first, leaf.first) for h in doubts)


def _goes_on(line: Line, i: int, first: int) -> bool:
    """Whether token `i` stands in a clause after token `first` that "and" opens, with more said of something else; "and
    I figured that from the look of it" is a doubt of the leaf."""
    start, end = line.clause(i)
    else_told = (MODALS | BEING | {"means", "be"}) & {t.text for t in line.tokens[i + 1 : end]}
    opened = start > first and line.tokens[start].text == "and" and line.tokens[start].breaks
    return opened and end - i > _CLOSED and bool(else_told)


_CLOSED = 3
"""Words with which a doubt ends its clause: "and I'm not sure of it"; our own choice, no outside source."""


def _aside(line: Line, first: int, last: int) -> int:
    """The token at which "which" opens a clause of something else, or `last`."""
    ends = (i for i in range(first, min(last, len(line.tokens))) if line.tokens[i].text == "which")
    return next(ends, last)


def _add(line: Line, blend: Blend, part: str, kept: list[Leaf], guessed: bool) -> None:
    """A filler told again with fewer leaves and no correction adds nothing; anything else takes the old one's place."""
    old = blend.parts.get(part, [])
    more = line.has("leaf.more") or takes_open_place([leaf for leaf, _ in old], kept, blend.announced)
    if part == "filler" and not old:
        blend.announced = announced(line, kept)
    if part == "filler" and old and not guessed and more:
        texts = {leaf.text for leaf, _ in old}
        blend.parts[part] = [*old, *((leaf, line) for leaf in kept if leaf.text not in texts)]
        return
    if part == "filler" and old and not guessed and not blend.guessed.get(part):
        known = {leaf.words for leaf, _ in old}
        if len(kept) < len(old) and not line.has("correction"):
            return
        if all(any(k.words <= w for w in known) for k in kept):
            return
    if part != "filler" and old and not blend.guessed.get(part):
        fuller = all(k.words < old[0][0].words for k in kept) and not line.has("correction")
        if line.section != "background" or fuller:
            return
    blend.put(part, kept, line, guessed)


def _asked(line: Line, cues: Sequence[tuple[int, int, str]], waiting: str | None) -> str | None:
    """The part that a sentence without leaf leaves open for the next: "Filling?", "Inside is where it gets good"."""
    if not cues:
        return waiting if len(line.tokens) <= 3 else None
    own = [c for c in cues if c[0] <= 3 or len(line.tokens) <= 6 or line.has("correcting", 0, c[0])]
    return own[-1][2] if own and line.section in ("background", "aside") else None


def _assign(
    line: Line, leaves: Sequence[Leaf], cues: Sequence[tuple[int, int, str]], waiting: str | None
) -> dict[str, list[Leaf]]:
    """Each leaf to the part named right after it, else to the part named last before it, else to the one waiting."""
    out: dict[str, list[Leaf]] = {}
    named = {part for _, _, part in cues}
    if len({leaf.text for leaf in leaves}) == 1 and len(named) > 1 and line.has("leaf.both"):
        return {part: list(leaves[:1]) for part in PARTS if part in named}
    after = _parts_after(line, leaves, cues)
    for leaf, follows in zip(leaves, after, strict=True):
        part = follows or _part_before(leaf, cues) or waiting
        if part is None and not cues and len(leaves) > 1 and mixed(line):
            part = "filler"
        if part is None and cues:
            part = _lone(line, leaf, cues)
        if part is not None:
            out.setdefault(part, []).append(leaf)
    beneath(line, leaves, out)
    share_part(line, out, cues)
    same_as(line, out, cues)
    of_one(line, out, leaves)
    return out


def _parts_after(
    line: Line, leaves: Sequence[Leaf], cues: Sequence[tuple[int, int, str]]
) -> list[str | None]:
    """The part right after each leaf; "Nicaraguan and Honduran in the middle" gives it to both."""
    out = [_part_after(line, leaf, cues) for leaf in leaves]
    for k in range(len(leaves) - 2, -1, -1):
        between = [t.text for t in line.tokens[leaves[k].last : leaves[k + 1].first]]
        joined = between == ["and"] and not line.tokens[leaves[k].last].breaks
        if out[k] is None and out[k + 1] == "filler" and joined:
            out[k] = "filler"
    return out


def _part_after(line: Line, leaf: Leaf, cues: Sequence[tuple[int, int, str]]) -> str | None:
    for first, _, part in cues:
        if first < leaf.last:
            continue
        between = line.tokens[leaf.last : first + 1]
        if len(between) <= 4 and not any(t.breaks for t in between) and {t.text for t in between[:-1]} <= _BEFORE:
            return part
        return None
    return None


def _part_before(leaf: Leaf, cues: Sequence[tuple[int, int, str]]) -> str | None:
    before = [part for _, last, part in cues if last <= leaf.first]
    return before[-1] if before else None


def _lone(line: Line, leaf: Leaf, cues: Sequence[tuple[int, int, str]]) -> str | None:
    """A leaf before the first part of its sentence: "Corojo on the outside, Dominican"."""
    first, _, part = cues[0]
    near = 0 <= first - leaf.last <= 4 and not any(t.breaks for t in line.tokens[leaf.last : first + 1])
    return part if near else None


def _settle(line: Line, part: str, found: Sequence[Leaf]) -> list[Leaf]:
    """Takes out what is denied, struck or corrected within the sentence; joins one leaf told in two breaths."""
    kept: list[Leaf] = []
    for leaf in found:
        if part == "filler" and any(k.text == leaf.text for k in kept):
            if line.corrected(kept[-1].last, leaf.first, strict=True):
                kept = [leaf]
            continue
        if part == "filler":
            more = points_back(line, leaf)
            kept = [k for k in kept if not ((k.places or k.seeds or more) and k.words < leaf.words)]
        if part != "filler" and concludes(line, leaf.first, leaf.last):
            kept = [leaf]
            continue
        if _only_said_to_be(line, leaf):
            continue
        if _denied(line, leaf, 4):
            kept = [k for k in kept if not same_origin(k, leaf)]
            continue
        if _elsewhere(line, leaf):
            continue
        previous = kept[-1] if kept else None
        if previous is not None and line.corrected(previous.last, leaf.first, strict=True):
            kept[-1] = leaf
        elif previous is not None and part != "filler":
            if tells_else(line, previous, leaf):
                continue
            if fits(line, previous, leaf) and (previous.words < leaf.words or not (previous.country and leaf.country)):
                kept[-1] = joined(previous, leaf)
            elif " or " in f" {line.said(previous.last, leaf.first)} ":
                continue
        else:
            kept.append(leaf)
    return kept


def _only_said_to_be(line: Line, leaf: Leaf) -> bool:
    """"The binder they don't disclose, although a colleague would at once write Java": nobody told, somebody would."""
    hits = line.find("leaf.unknown", 0, leaf.first)
    return bool(hits) and bool(MODALS & {t.text for t in line.tokens[hits[-1].last : leaf.first]})


def _denied(line: Line, leaf: Leaf, reach: int) -> bool:
    """"not Peruvian", "Dominican the binder is not", "Dominican it isn't"."""
    if line.denied(leaf.first, reach):
        return True
    _, end = line.clause(leaf.first)
    after = [t.text for t in line.tokens[leaf.last : min(end, leaf.last + 5)]]
    return after[-2:] == ["is", "not"] or after[-1:] in (["isn't"], ["ain't"], ["wasn't"])


def _elsewhere(line: Line, leaf: Leaf) -> bool:
    """Crossed out on the sheet, or said to go into another cigar, right after its name."""
    reach = min(leaf.last + 12, len(line.tokens))
    for hit in line.find("leaf.crossed_out", leaf.last, reach):
        if not line.words.leaves.any(line.tokens, leaf.last, hit.first):
            return True
    return False


def _claims(blend: Blend) -> list[Claim]:
    out: list[Claim] = []
    for part in PARTS:
        told = blend.parts.get(part, [])
        if not told:
            continue
        line = max((where for _, where in told), key=lambda x: x.index) if part in blend.righted else told[-1][1]
        here = [leaf for leaf, where in told if where is line]
        first, last = line.span(min(x.first for x in here), max(x.last for x in here))
        last = max(last, blend.last.get(part, 0))
        value: object = [leaf.text for leaf, _ in told] if part == "filler" else told[0][0].text
        over_two = part in blend.last
        detail = f"leaf {'told over two sentences' if over_two else 'named'} for the {part}"
        out.append(Claim(
            part, value, line.index, first, last, detail, HEAVY * (part in blend.righted),
            guessed=blend.guessed.get(part, False), over_two=over_two, instead=part in blend.righted,
        ))
    return out


