"""What the classifiers see of a mention: cues in its clause, words on either side, grammar, history, vectors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from voicedraft.read.descriptors.cues import Cue
from voicedraft.read.descriptors.tag_features import governor
from voicedraft.read.descriptors.terms import key
from voicedraft.read.descriptors.tokens import Token, Tokens
from voicedraft.types import INTENSITIES

Floats = npt.NDArray[np.float32]
DENSE = 7
"""Vectors of each mention: span, before, after, segment, sentence, sentence before, sentence after."""


@dataclass(frozen=True, slots=True)
class Mention:
    """A possible flavour over tokens `[first, last)`. `odds`: the tagger's log-odds of a flavour here."""

    first: int
    last: int
    key: tuple[str, ...]
    odds: float
    source: str
    """lexicon, tagger, or repeat (the same words were taken for a flavour elsewhere in the session)."""


def context_features(
    row: Tokens, mentions: Sequence[Mention], cues: Sequence[Sequence[Cue]]
) -> tuple[list[list[str]], Floats]:
    """Feature names and stacked vectors (n, 7 × 384) of each mention. `mentions` are sorted by place."""
    out: list[list[str]] = []
    dense = np.zeros((len(mentions), DENSE, row.vectors.shape[1] if len(row.rows) else 384), np.float32)
    history: dict[str, list[tuple[str, str, int]]] = {}
    scale = float(np.sqrt((row.vectors**2).sum(axis=1).mean())) if len(row.vectors) else 1.0
    for n, m in enumerate(mentions):
        names = _names(row, mentions, n, cues)
        names += _history(row, m, history, n)
        out.append(names)
        _vectors(row, m, dense[n], scale)
    return out, dense.reshape(len(mentions), DENSE * dense.shape[2])


def _names(row: Tokens, mentions: Sequence[Mention], n: int, cues: Sequence[Sequence[Cue]]) -> list[str]:
    rows, m = row.rows, mentions[n]
    head = rows[m.last - 1]
    s = head.sentence
    begin, end = row.bounds[s]
    passage = row.passage(m.first)
    section = passage.section if passage else "-"
    names = ["b", f"sec={section}", f"stage={passage.stage if passage else None}", f"src={m.source}",
             f"odds={min(6, max(-6, round(m.odds)))}", f"words={m.last - m.first}"]
    covered = row.lexical[m.first]
    if covered is not None:
        form = covered[0].form
        names += [f"lexk={form.kind}", f"amb={form.term.ambiguous}", f"fam={form.term.family}"]
    same = [k for k in range(max(0, n - 12), min(len(mentions), n + 12)) if begin <= mentions[k].first < end]
    names += [f"many={min(5, len(same))}", f"order={min(4, same.index(n))}", f"lastm={same[-1] == n}"]
    group = _group(row.rows, mentions, same, n)
    place = "first" if n == group[0] else "last" if n == group[-1] else "mid"
    names += [f"group={min(4, len(group))}", f"place={place}"]
    stage = str(passage.stage) if passage else "-"
    own = [c for c in cues[s] if c.kind in _AMOUNTS and _right_before(row, c, m)]
    names += [f"right:{c.kind}" for c in own]
    for cue in cues[s]:
        if cue.first >= m.first and cue.last <= m.last:
            continue
        if cue.group == "room" or (own and cue.kind in _AMOUNTS and cue not in own):
            continue
        if cue.group == "when":
            names += _when_names(row, m, cue, mentions, same, stage)
        else:
            names += _cue_names(row, m, cue, mentions, same)
            names += _owned_names(row, mentions, n, cue, same, group)
    if stage == "after":
        names += _room_names(row, m, cues, s)
    names += _neighbour_cues(row, cues, s, mentions)
    names += _capitals(row, m, begin, end)
    names += _word_names(rows, m, begin, end)
    names += _grammar(rows, head)
    return names


_AMOUNTS = frozenset(INTENSITIES)


def _right_before(row: Tokens, cue: Cue, m: Mention) -> bool:
    """Whether the cue leads straight to the name ("a little honey", "a hint of clove"): then no other amount is its."""
    between = row.rows[cue.last : m.first]
    small = all(t.lower in ("of", "a", "an", "the") for t in between)
    return cue.last <= m.first <= cue.last + 2 and small and row.rows[cue.first].sentence == row.rows[m.first].sentence


def _gap(rows: Sequence[Token], m: Mention, first: int, last: int, mentions: Sequence[Mention],
         same: Sequence[int]) -> tuple[str, int, int]:
    """Side of a stretch, segments in between, other mentions in between."""
    if first >= m.last:
        side, low, high = "A", m.last, first
    elif last <= m.first:
        side, low, high = "B", last, m.first
    else:
        return "O", 0, 0
    segments = abs(rows[first].segment - rows[m.last - 1].segment)
    between = sum(1 for k in same if low <= mentions[k].first < high)
    return side, min(3, segments), min(2, between)


def _cue_names(row: Tokens, m: Mention, cue: Cue, mentions: Sequence[Mention], same: Sequence[int]) -> list[str]:
    side, segments, between = _gap(row.rows, m, cue.first, cue.last, mentions, same)
    near = cue.first - m.last if side == "A" else m.first - cue.last
    kind, group = cue.kind, cue.group
    distance = "adj" if near <= 1 else "near" if near <= 4 else "far"
    out = [f"c:{kind}:{side}{segments}{between}", f"c:{kind}:{side}", f"c:{kind}:{between}", f"c:{kind}",
           f"c:{kind}.{group}:{side}{segments}", f"c:{kind}:{side}:{distance}"]
    if segments == 0:
        out.append(f"c0:{kind}:{side}{between}")
    return out


def _when_names(
    row: Tokens, m: Mention, cue: Cue, mentions: Sequence[Mention], same: Sequence[int], stage: str
) -> list[str]:
    """Words that point at a stage: this one, another, or now."""
    side, segments, between = _gap(row.rows, m, cue.first, cue.last, mentions, same)
    when = cue.kind.removeprefix("when ")
    which = "now" if when == "now" else "this" if when == stage else "other"
    return [f"when:{which}:{side}{segments}", f"when:{which}:{side}:{between}", f"when:{which}", f"when:{when}>{stage}"]


_JOINS = frozenset({
    ",", "and", "or", "nor", "plus", "with", "&", "then", "a", "an", "the", "some", "also", "um", "uh", "like",
})


def _capitals(row: Tokens, m: Mention, begin: int, end: int) -> list[str]:
    """Words written large within the sentence: a person, or another cigar."""
    large = [
        t for t in row.rows[begin + 1 : end]
        if t.text[:1].isupper() and t.text[1:2].islower()
        and not m.first <= t.index < m.last and row.lexical[t.index] is None
    ]
    if not large:
        return ["caps=0"]
    side = "B" if large[0].index < m.first else "A"
    pair = any(a.index + 1 == b.index for a, b in pairwise(large))
    return [f"caps={side}", f"caps2={pair}"]


def _room_names(row: Tokens, m: Mention, cues: Sequence[Sequence[Cue]], s: int) -> list[str]:
    """Whether the air of the room is spoken of: in this sentence before or after the mention, or shortly before."""
    here = [c for c in cues[s] if c.group == "room"]
    out = [f"room:before={any(c.last <= m.first for c in here)}", f"room:here={bool(here)}"]
    back = [k for k in range(max(0, s - 3), s) if any(c.group == "room" for c in cues[k])]
    out.append(f"room:back={s - back[-1] if back else 9}")
    out.append(f"room:any={bool(here or back)}")
    return out


def _group(rows: Sequence[Token], mentions: Sequence[Mention], same: Sequence[int], n: int) -> list[int]:
    """The mentions of the list that mention `n` stands in ("cedar, leather and cream"), itself included."""
    out = [n]
    at = same.index(n)
    for k in reversed(same[:at]):
        if not _joined(rows, mentions[k].last, mentions[out[0]].first):
            break
        out.insert(0, k)
    for k in same[at + 1 :]:
        if not _joined(rows, mentions[out[-1]].last, mentions[k].first):
            break
        out.append(k)
    return out


def _joined(rows: Sequence[Token], first: int, last: int) -> bool:
    return last - first <= 4 and all(rows[i].lower in _JOINS for i in range(first, last))


def _owned_names(
    row: Tokens, mentions: Sequence[Mention], n: int, cue: Cue, same: Sequence[int], group: Sequence[int]
) -> list[str]:
    """Whether the cue speaks of this mention, of its list, or of another: the next mention right behind it is its
    own ("a hint of clove"), else the one before it ("clove, a hint")."""
    ahead = next((k for k in same if mentions[k].first >= cue.last), None)
    behind = next((k for k in reversed(same) if mentions[k].last <= cue.first), None)
    owner = behind
    if ahead is not None:
        gap = mentions[ahead].first - cue.last
        across = row.rows[mentions[ahead].first].segment != row.rows[cue.last - 1].segment
        if behind is None or (gap <= 2 and not across):
            owner = ahead
    if owner is None:
        return []
    if owner == n:
        side = "A" if cue.first >= mentions[n].last else "B"
        segments = min(2, abs(row.rows[cue.first].segment - row.rows[mentions[n].last - 1].segment))
        return [f"own:{cue.kind}", f"own:{cue.kind}:{side}{segments}", f"own:{cue.kind}.{cue.group}:{side}",
                f"reach:{cue.kind}:{side}"]
    if owner in group:
        where = "head" if owner == group[0] and cue.last <= mentions[owner].first else "in"
        if where == "in" and owner == group[-1] and cue.first >= mentions[owner].last:
            where = "tail"
        side = "after" if n > owner else "before"
        out = [f"list:{cue.kind}:{where}", f"list:{cue.kind}.{cue.group}:{where}:{side}"]
        if where != "in":
            out.append(f"reach:{cue.kind}:{'B' if where == 'head' else 'A'}")
        return out
    return [f"theirs:{cue.kind}"]


def _neighbour_cues(row: Tokens, cues: Sequence[Sequence[Cue]], s: int, mentions: Sequence[Mention]) -> list[str]:
    """Cues of the sentences on either side, and whether those hold mentions of their own."""
    out: list[str] = []
    for step, mark in ((-1, "P"), (1, "N")):
        k = s + step
        if not 0 <= k < len(row.bounds) or row.analysis.sentences[k].take != row.analysis.sentences[s].take:
            out.append(f"{mark}:none")
            continue
        begin, end = row.bounds[k]
        own = any(begin <= m.first < end for m in mentions)
        out += [f"{mark}:own={own}", f"{mark}:short={end - begin < 7}", f"{mark}:last={row.rows[end - 1].text}"]
        if not own:
            out += [f"{mark}:{c.kind}:alone" for c in cues[k] if c.group not in ("room", "when")]
        elif mark == "P":
            out += [f"P:{c.kind}" for c in cues[k] if c.kind in ("other_cigar", "recalled", "hypothetical", "offered")]
        if not own:
            out += [f"{mark}w:{t.lemma}" for t in row.rows[begin:end] if not t.punct]
        if mark == "N" and row.rows[row.bounds[s][1] - 1].text == "?":
            out += [f"answer:{c.kind}" for c in cues[k]] + [f"answer={row.rows[begin].lower}", f"answer:own={own}"]
            out += [f"answerw:{t.lemma}" for t in row.rows[begin:end][:8] if not t.punct]
    return out


def _word_names(rows: Sequence[Token], m: Mention, begin: int, end: int) -> list[str]:
    out: list[str] = []
    seg = rows[m.last - 1].segment
    for i in range(begin, end):
        if m.first <= i < m.last:
            continue
        t = rows[i]
        d = i - m.last + 1 if i >= m.last else i - m.first
        side = "A" if d > 0 else "B"
        if t.punct:
            if abs(d) == 1:
                out.append(f"{side}p={t.text}")
            continue
        out.append(f"S:{t.lemma}")
        gap = abs(t.segment - seg)
        out.append(f"{side}{min(2, gap)}:{t.lemma}")
        if abs(d) <= 3:
            out.append(f"{d}:{t.lower}")
        if abs(d) <= 6:
            out.append(f"{side}6:{t.lemma}")
    for i in range(max(begin, m.first - 6), min(end, m.last + 6) - 1):
        if not (m.first <= i < m.last or m.first <= i + 1 < m.last):
            side = "A" if i >= m.last else "B"
            out.append(f"{side}b:{rows[i].lower}_{rows[i + 1].lower}")
    out.append(f"q={rows[end - 1].text if rows[end - 1].punct else '-'}")
    return out


def _grammar(rows: Sequence[Token], head: Token) -> list[str]:
    verb, relation = governor(list(rows), head.index)
    out = [f"dep={head.dep}", f"rel={relation}", f"gl={verb.lemma}", f"g={relation}/{verb.lemma}",
           f"gt={relation}/{verb.tag}"]
    kids = [rows[k] for k in verb.children]
    out += [f"gk={k.dep}/{k.lemma}" for k in kids if k.dep in
            ("neg", "aux", "advmod", "prt", "nsubj", "acomp", "mark", "dobj", "attr", "expl", "det")]
    out += [f"hk={rows[k].dep}/{rows[k].lemma}" for k in head.children if rows[k].dep in
            ("det", "amod", "neg", "advmod", "poss", "relcl", "predet", "quantmod", "cc", "preconj", "acl")]
    up = rows[verb.head]
    out += [f"ggl={up.lemma}", f"gdep={verb.dep}"]
    if any(k.dep == "neg" for k in kids):
        out.append(f"gneg:{relation}")
    return out


def _history(row: Tokens, m: Mention, history: dict[str, list[tuple[str, str, int]]], n: int) -> list[str]:
    """Whether the same head word came up before: in this stage, in an earlier one, off the leaf."""
    passage = row.passage(m.first)
    stage = str(passage.stage) if passage else "-"
    head = m.key[-1] if m.key else ""
    seen = history.setdefault(head, [])
    out = [f"seen={min(3, len(seen))}"]
    if seen:
        stages = {s for s, _, _ in seen}
        out += [f"seen:{'same' if stage in stages else 'other'}", f"seen:{'pre' if 'prelight' in stages else ''}"
                f"{'1' if 'first' in stages else ''}{'2' if 'second' in stages else ''}>{stage}"]
    else:
        out.append("seen:new")
    seen.append((stage, "", n))
    return out


def _vectors(row: Tokens, m: Mention, into: Floats, scale: float) -> None:
    """The mention's vectors; sentence vectors, of length 1, are brought to the length of token vectors by `scale`."""
    s = row.rows[m.last - 1].sentence
    begin, end = row.bounds[s]
    v = row.vectors
    into[0] = v[m.first : m.last].mean(axis=0)
    if m.first > begin:
        into[1] = v[max(begin, m.first - 4) : m.first].mean(axis=0)
    if m.last < end:
        into[2] = v[m.last : min(end, m.last + 4)].mean(axis=0)
    seg = row.rows[m.last - 1].segment
    a, b = m.first, m.last
    while a > begin and row.rows[a - 1].segment == seg:
        a -= 1
    while b < end and row.rows[b].segment == seg:
        b += 1
    into[3] = v[a:b].mean(axis=0)
    into[4] = row.sentence_vectors[s] * scale
    if s > 0:
        into[5] = row.sentence_vectors[s - 1] * scale
    if s + 1 < len(row.bounds):
        into[6] = row.sentence_vectors[s + 1] * scale


def mention_key(row: Tokens, first: int, last: int) -> tuple[str, ...]:
    """The key of the words of `[first, last)`."""
    return key(" ".join(t.text for t in row.rows[first:last]))
