"""Maker and line: names in capitals after "by", "a firm called", "the line is", "it's the", joined maker first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from voicedraft.read.facts.claims import Claim
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.lowercase import both, line_before

_INNER = frozenset({"and", "&", "of", "de", "la", "le", "el", "del", "y", "'s", "the"})
_WINDOW = 3
"""Sentences after the first name within which its other half is looked for."""


@dataclass(frozen=True, slots=True)
class Run:
    """A name at tokens `[first, last)` of a line. `kind` is maker, line or plain; `strength` how sure the words are."""

    line: Line
    first: int
    last: int
    kind: str
    strength: int

    @property
    def text(self) -> str:
        text = self.line.said(self.first, self.last)
        return text.removesuffix("'s").removesuffix("’s").removeprefix("The ")

    @property
    def words(self) -> tuple[str, ...]:
        return tuple(t.text for t in self.line.tokens[self.first : self.last] if t.text not in _INNER)


_SECTIONS = ("background", "appearance", "aside", "value", "verdict")


def read_cigar(session: Session) -> list[Claim]:
    """One claim "cigar": maker and line as spoken."""
    lines = [x for x in session.lines if x.section in _SECTIONS]
    before = [x for x in lines if x.index < session.revealed and x.section == "background"]
    if session.blind and session.revealed < len(session.lines) and not any(
        r.strength >= 2 for x in before for r in _own(x)
    ):
        lines = [x for x in lines if x.index >= session.revealed - 1]
    anchor = next(((k, own) for k, x in enumerate(lines) if x.section == "background" and (own := _own(x))), None)
    anchor = anchor or next(
        ((k, own) for k, x in enumerate(lines)
         if x.section in ("aside", "appearance") and (own := [r for r in _own(x) if _sure(r)])), None,
    )
    anchor = anchor or next(
        ((k, own) for k, x in enumerate(lines)
         if x.index < min(session.opening, _FIRST) and (own := [r for r in _own(x) if _likely(r)])), None,
    )
    if anchor is None:
        return _without_capitals(session, lines)
    start, found = anchor
    loose = [r for r in runs(found[0].line) if r.strength == 0 and not found[0].line.other[r.first]]
    for line in lines[start + 1 : start + 1 + _WINDOW]:
        if line.section == "background":
            lone = len(found) == 1 and _alone(found[0])
            found += [r for r in _own(line) if r.strength >= 2 or (lone and _alone(r))]
    maker, name = _parts(found)
    if name is None and maker is not None:
        name = _small(maker) or next((r for r in loose if r.first > maker.first), None)
    if name is not None:
        name = _amended(lines[start:], maker, _half_small(maker, name))
    return _claim(session, maker, name)


def _small(maker: Run) -> Run | None:
    """The line's name without capitals before its maker."""
    found = line_before(maker.line, maker.first)
    return Run(maker.line, *found, "line", 2) if found else None


def _half_small(maker: Run | None, name: Run) -> Run:
    """The name with those of its words that have no capital: "it's the Copper lantern, from Harlow Brothers"."""
    whole = _small(maker) if maker is not None and maker.line is name.line else None
    return whole if whole is not None and whole.first <= name.first and name.last <= whole.last else name


def _without_capitals(session: Session, lines: Sequence[Line]) -> list[Claim]:
    """Maker and line where the recogniser gave neither a capital."""
    for line in lines:
        found = both(line) if line.section == "background" or line.index < _FIRST else None
        if found:
            return _claim(session, Run(line, *found[1], "maker", 2), Run(line, *found[0], "line", 2))
    return []


_FIRST = 9
"""Sentences within which a speaker who opens with the name has said it."""


def _likely(run: Run) -> bool:
    """A name of two words, or one told as the maker's or the line's."""
    return run.strength >= 2 or len(run.words) >= 2


def _sure(run: Run) -> bool:
    """Outside the background only a name that opens its sentence, or one told as a name, is the cigar's."""
    return run.strength >= 3 or (run.first == 0 and len(run.words) >= 2 and run.kind == "plain")


def _alone(run: Run) -> bool:
    """The name is its whole sentence."""
    return len(run.line.tokens) - (run.last - run.first) <= 1


def _claim(session: Session, maker: Run | None, name: Run | None) -> list[Claim]:
    main = name or maker
    if main is None:
        return []
    text = _joined(maker, name)
    first, last = main.line.span(main.first, main.last)
    return [Claim("cigar", text, main.line.index, first, last, "names of maker and line")]


def _joined(maker: Run | None, name: Run | None) -> str:
    if maker is None or name is None:
        return (name or maker).text if name or maker else ""  # type: ignore[union-attr]
    if set(maker.words) <= set(name.words):
        return name.text
    return f"{maker.text} {name.text}"


def _own(line: Line) -> list[Run]:
    return [r for r in runs(line) if r.strength > 0 and not of_another(line, r.first, r.last)
            and not line.denied(r.first, 2)]


def of_another(line: Line, first: int, last: int) -> bool:
    """Whether a name at tokens `[first, last)` is another cigar's, or none; "Number Two" within it tells nothing."""
    return _bids(line, first, last) or (line.other[first] and not line.has("other_cigar", first, last))


def _bids(line: Line, first: int, last: int) -> bool:
    """"Forget Sumatra", "Not Nicaragua", "Ecuadorian-grown": a leaf's name, and no cigar's."""
    leaf = line.words.leaves.at(line.tokens, first + 1) if last > first + 1 else None
    own = line.words.leaves.at(line.tokens, first)
    if own is not None and "-" in line.said(first, last) and last - first <= 2:
        return True
    bid = line.has("country.withdrawn", first, first + 1) or line.tokens[first].text == "not"
    return bid and leaf is not None and leaf.last >= last


def runs(line: Line) -> list[Run]:
    """All names of a line with what the words around them say of them."""
    out: list[Run] = []
    i = 0
    while i < len(line.tokens):
        last = _run_end(line, i)
        if last > i:
            run = _judge(line, i, last)
            if run is not None:
                out.append(run)
            i = last
        else:
            i += 1
    return out


def _capital(line: Line, i: int) -> bool:
    token = line.tokens[i]
    if not token.printed[:1].isupper() or token.text in line.words.never_names:
        return False
    if len(token.text) < 2 or (token.printed.isupper() and len(token.text) <= 4):
        return False
    if i == 0 or token.stops:
        return _opens_name(line, i)
    return True


def _opens_name(line: Line, i: int) -> bool:
    """A capital at the start of a sentence is a name where the next word has one too, or the word is no common one."""
    following = line.tokens[i + 1] if i + 1 < len(line.tokens) else None
    if following is not None and not following.stops and following.printed[:1].isupper() and not following.breaks:
        return following.text not in line.words.never_names and len(following.text) > 1 and line.proper[i + 1]
    return line.proper[i]


def _held(line: Line, i: int) -> bool:
    """A common word with a capital within a name: "Penalty Box", "Second Sunday"; names of sizes stay outside."""
    token = line.tokens[i]
    common = token.text in line.words.never_names and len(token.text) > 2 and token.text not in _NO_PART
    trade = line.words.vitolas.at(line.tokens, i) or line.words.leaves.at(line.tokens, i)
    return common and token.printed[:1].isupper() and trade is None


_NO_PART = frozenset({"english", "cigar", "wrapper", "binder", "filler"})


def _label(line: Line, i: int) -> bool:
    """A word for a thing told, or a small word, that opens a clause: "Manufacturer, Savanne House", "The Weir"."""
    return line.tokens[i].text in line.words.name_labels and (i == 0 or line.tokens[i].breaks)


def _run_end(line: Line, i: int) -> int:
    if not _capital(line, i) or _label(line, i):
        return i
    last = i + 1
    while last < len(line.tokens) and not (line.tokens[last].breaks):
        if _capital(line, last) or _held(line, last) or (line.tokens[last].gap == "-" and last > i):
            last += 1
        elif _links_names(line, last):
            last += 2
        else:
            break
    return last


def _links_names(line: Line, i: int) -> bool:
    """A small word between two parts of a name: "Ostler and Pym"."""
    if line.tokens[i].text not in _INNER - {"of", "the"} or i + 1 >= len(line.tokens):
        return False
    return _capital(line, i + 1) and not line.tokens[i + 1].breaks


def _judge(line: Line, first: int, last: int) -> Run | None:
    """The run with its kind, or None where it is a leaf, a size, a place or a person."""
    if line.words.leaves.at(line.tokens, first) is not None and _only_leaf(line, first, last):
        return None
    if _only_size(line, first, last):
        return None
    low = max(0, first - 5)
    while low < first and any(t.stops for t in line.tokens[low + 1 : first + 1]):
        low += 1
    after = _right_after(line, "name.maker_after", last)
    if _right_after(line, "name.line_after", last):
        return Run(line, first, last, "line", 3)
    maker = [h for h in line.find("name.maker", low, first) if h.last == first or _noun(h.value)]
    name = [h for h in line.find("name.line", low, first) if first - h.last <= 2]
    if after:
        return Run(line, first, last, "maker", 3)
    if maker and (not name or maker[-1].last > name[-1].last or maker[-1].first < name[-1].first):
        return Run(line, first, last, "maker", 2)
    if name:
        return Run(line, first, last, "line", 3)
    before = line.tokens[first - 1].text if first else ""
    if before == "of" and first >= 2 and line.tokens[first - 1].breaks and line.tokens[first - 2].printed[:1].isupper():
        return Run(line, first, last, "maker", 2)
    if first and not line.tokens[first].breaks:
        if line.has("name.place", first - 1, first):
            return None
        if before in ("the", "a", "an", "is", "'s", "was", "have", "got"):
            if first >= 2 and before in ("the", "a") and line.has("name.place", first - 2, first - 1):
                return None
            return Run(line, first, last, "plain", 1)
        if before in _SIZED and first >= 2 and line.tokens[first - 2].text in _DETERMINERS:
            return Run(line, first, last, "plain", 1)
        return None
    ends = last == len(line.tokens) or line.tokens[last].breaks
    put_right = ends and line.corrected(max(0, first - 3), first)
    whole = last - first >= 2 or (first == 0 and ends) or put_right
    return Run(line, first, last, "plain", 1) if whole else Run(line, first, last, "plain", 0)


_SIZED = frozenset({
    "wee", "little", "new", "good", "nice", "lovely", "old", "big", "small", "fine", "lone", "single", "real",
})
_DETERMINERS = frozenset({"the", "a", "an", "my", "this", "is", "'s"})


def _right_after(line: Line, path: str, i: int) -> bool:
    return any(h.first == i for h in line.find(path, i, min(i + 7, len(line.tokens))))


def _noun(cue: str) -> bool:
    """Cues with a word for the maker reach over a filler: "the company is, hold on, Hobnail and Crewe"."""
    return any(w in cue for w in ("firm", "company", "maker", "outfit", "brand", "house", "called"))


def _only_leaf(line: Line, first: int, last: int) -> bool:
    i = first
    while i < last:
        hit = line.words.leaves.at(line.tokens, i)
        if hit is None and line.tokens[i].text not in _INNER:
            return False
        i = hit.last if hit else i + 1
    return True


def _only_size(line: Line, first: int, last: int) -> bool:
    hit = line.words.vitolas.at(line.tokens, first)
    return hit is not None and hit.last >= last


def _parts(found: Sequence[Run]) -> tuple[Run | None, Run | None]:
    """(maker, line) of the runs in order of speech; a correction within a sentence replaces."""
    makers = _corrected([r for r in found if r.kind == "maker"])
    found, makers = _maker_put_right(found, makers)
    names = _corrected([r for r in found if r.kind == "line"])
    plain = _corrected(_whole([r for r in found if r.kind == "plain"]))
    maker = makers[0] if makers else None
    if names:
        ahead = [p for p in plain if p.line is names[0].line and p.first < names[0].first]
        if ahead and (maker is None or (_opening(ahead[0]) and maker.line is not names[0].line)):
            maker = ahead[0]
        below = [
            p for p in plain
            if p.line is names[0].line and p.first > names[0].last
            and len(p.words) >= 2 and p.line.tokens[p.first].breaks
        ]
        if maker is None and below and not set(below[0].words) & set(names[0].words):
            return names[0], below[0]
        unrelated = [r for r in names[1:] if not set(r.words) & set(names[0].words)]
        if maker is None and unrelated and unrelated[0].line.index - names[0].line.index <= 1:
            return names[0], unrelated[0]
        return maker, _longest(names, maker)
    if not plain:
        return maker, None
    first = plain[0]
    same = [p for p in plain if p.line is first.line]
    if maker is None and _alone(first) and len(plain) > 1 and plain[1].line is not first.line:
        return first, plain[1]
    beside = len(same) > 1 and same[1].first - first.last <= 2 and not set(same[1].words) & set(first.words)
    told = len(same) > 1 and same[1].first > 0 and line_word(same[1]) and not set(same[1].words) & set(first.words)
    if maker is None and (beside or told):
        return first, same[1]
    return maker, _longest(same, maker)


def _opening(run: Run) -> bool:
    """A name of two words that opens its sentence: "Tallow and Pym, and the line's called the Weir"."""
    return run.first == 0 and len(run.words) > 1


def line_word(run: Run) -> bool:
    """The name stands after "the" or "their", as a line's does: "Swartkloof Leaf, and it's the Lower Dam"."""
    return run.line.tokens[run.first - 1].text in ("the", "their")


def _maker_put_right(found: Sequence[Run], makers: Sequence[Run]) -> tuple[list[Run], list[Run]]:
    """"Made by Stubblefield, sorry, Stubbleview": the name after the correction is the maker."""
    for run in found:
        maker = makers[0] if makers else None
        if maker is None or run.line is not maker.line or run.first <= maker.first or run in makers:
            continue
        if run.line.corrected(maker.last, run.first) and len(run.words) <= len(maker.words):
            return [r for r in found if r is not maker and r.text != run.text], [replace(run, kind="maker")]
    return list(found), list(makers)


def _whole(found: Sequence[Run]) -> list[Run]:
    """Without false starts: "a Dun, a Dunmarrow, the Dunmarrow Harmattan"."""
    return [
        r for k, r in enumerate(found)
        if not any(n.line is r.line and n.text.startswith(r.text) for n in found[k + 1 :])
    ]


def _longest(names: Sequence[Run], maker: Run | None) -> Run:
    """The fullest of the runs that share a word with the first."""
    first = names[0]
    related = [first, *(r for r in names[1:] if set(r.words) & set(first.words))]
    return max(related, key=lambda r: (len(r.words), -r.line.index))


def _corrected(found: Sequence[Run]) -> list[Run]:
    out: list[Run] = []
    for run in found:
        if out and out[-1].line is run.line and run.line.corrected(out[-1].last, run.first):
            before = out.pop()
            out.append(_replace_tail(before, run))
        else:
            out.append(run)
    return out


def _replace_tail(before: Run, run: Run) -> Run:
    """"Drookwell Sounding Line, no, Sounding Lead": the words in front of the one they share are kept."""
    shared = next((i for i in range(before.first, before.last) if before.line.tokens[i].text == run.words[0]), None)
    if shared is None or shared == before.first:
        return run
    return _Spliced(run.line, run.first, run.last, run.kind, run.strength, before.line.said(before.first, shared))


@dataclass(frozen=True, slots=True)
class _Spliced(Run):
    """A run with words from before a correction in front."""

    head: str = ""

    @property
    def text(self) -> str:
        return f"{self.head} {self.line.said(self.first, self.last)}"


def _amended(lines: Sequence[Line], maker: Run | None, name: Run) -> Run:
    """"It isn't the Vespers at all, it's the Evensong": a later line that denies the name gives the right one."""
    for line in lines:
        if line.index <= name.line.index or line.section != "background":
            continue
        found = runs(line)
        for k, run in enumerate(found):
            if line.denied(run.first, 3) and set(run.words) & set(name.words):
                known = set(maker.words) if maker else set()
                new = [r for r in found[k + 1 :] if not set(r.words) & known]
                if new:
                    return replace(new[0], kind="line")
    return name
