"""Pairings: what the speaker would drink or eat with this cigar, or keep away from it.

A small linear model finds the sentences that talk of it; a conditional random field tags their words, from grammar,
the drink and food lists, words of liking and refusing, and the words' vectors; a rule cuts the noun phrase as said.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from functools import cache

import numpy as np

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.pairings.bare import bare
from voicedraft.read.pairings.beside import may_stand_beside, stands_beside
from voicedraft.read.pairings.doubted import doubted
from voicedraft.read.pairings.dressing import (
    belongs,
    dresses,
    garnish,
    general,
    hangs_on,
    joined,
    likened,
    names_something,
    of_another_cigar,
    sensed,
    set_beside,
    tasted,
    without,
)
from voicedraft.read.pairings.features import features
from voicedraft.read.pairings.having import had_with, may_be_had
from voicedraft.read.pairings.image import image
from voicedraft.read.pairings.kind import drink_or_food
from voicedraft.read.pairings.merge import key, merge
from voicedraft.read.pairings.model import PairingWeights, Tagger, probed, roles, shipped
from voicedraft.read.pairings.ordered import ordered_off
from voicedraft.read.pairings.phrase import printed, runs, said_again, widen
from voicedraft.read.pairings.plain import Plain, plainly
from voicedraft.read.pairings.praised import chosen
from voicedraft.read.pairings.refusal import refusing
from voicedraft.read.pairings.role import role_inputs
from voicedraft.read.pairings.tokens import Floats, Names, Row, Token, row
from voicedraft.read.vectors import DIMENSIONS
from voicedraft.types import Evidence, Pairing, PairingKind, Passage

_TASTING = frozenset({"appearance", "prelight", "first_third", "second_third", "final_third"})
"""Sections in which a drink or food is a flavour or a colour."""
UNSIGNED = 2.5
"""How much likelier it must be refused than wanted in a sentence without any word that refuses. Four-fold by session on
185 sessions and fitted on none of 24 others, pairings that agree: 0.835 with 4, 0.840 with 2.5."""
TAGGED = 0.1
"""Chance by the tagger under which a listed name is a pairing only if its words say so plainly, or it is `SURE`. This,
`SURE` and `TALK` were compared three-fold by session on 130 sessions, and by reading 63 others; values near them change
little."""
SURE = 0.8
"""Chance of being wanted, or of being refused, from which such a name is read all the same."""
ONLY, WANTED = 0.85, 0.9
"""Chances of being only mentioned, and of being wanted, from which words of welcome or refusal are not believed, and
nothing is stated. Among 100 sessions no such words that were right stood against more than 0.79 and 0.71."""
GOING_ON = 2
"""Sentences after a name's in which its verdict may come."""
TALK = 0.75
"""Chance from which a sentence outside a pairings passage is read for pairings too."""


def read_pairings(
    analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon, weights: PairingWeights | None = None,
) -> tuple[Pairing, ...]:
    """Pairings in the order spoken, each once.

    weights: None for the shipped ones. Raises ModelError where they are missing, LexiconError where
    lexicon/pairings.toml is.
    """
    held = weights or shipped()
    names = Names.of(lexicon)
    tagger = Tagger(held)
    chances = held.chances(sentence_vectors(analysis))
    sections = sections_of(analysis, passages)
    people = capitalised(analysis, sections)
    found: list[Pairing] = []

    @cache
    def rows(n: int) -> Row:
        return row(analysis.sentences[n], analysis.docs[n], analysis.encoded[n], names)

    for n, sentence in enumerate(analysis.sentences):
        talks, near = candidate(n, sections, chances), among(n, sections)
        if not (talks or near or may_stand_beside(sentence.text) or may_be_had(sentence.text)):
            continue
        seen = rows(n)
        probes = probed(seen.vectors, held.probe)
        listed = [bool(t.mark) and (sections[n] == "pairings" or not talks) for t in seen.tokens]
        tags = tagger.tags(features(seen, names, probes, held.known, sections[n], float(chances[n])), listed)
        tail = analysis.docs[n + 1] if n + 1 < len(analysis.docs) else ()
        following = [t.lower_ for t in tail if not t.is_punct]
        later = goes_on(n, sections, rows)
        before = analysis.sentences[max(n - 1, 0)].first
        carried = bool(found) and found[-1].kind == "avoid" and found[-1].last >= before
        found += _spans(
            analysis, passages, seen, probes, tags, float(chances[n]), held, names, people, following,
            talks, near, later, carried, "" if carried else bare(n, sections, rows),
        )
    return merge(found)


def goes_on(n: int, sections: Sequence[str], rows: Callable[[int], Row]) -> list[Token]:
    """The tokens that go on about what sentence `n` names last: of the next `GOING_ON`, up to the next listed name."""
    out: list[Token] = []
    for m in range(n + 1, min(n + 1 + GOING_ON, len(sections))):
        if sections[m] != "pairings":
            break
        tokens = rows(m).tokens
        if not points_back(tokens):
            break
        named = next((i for i, t in enumerate(tokens) if t.mark), len(tokens))
        out += tokens[: named + 1]
        if named < len(tokens):
            break
    return out


def sentence_vectors(analysis: Analysis) -> Floats:
    """(n, 384) of all sentences."""
    return np.array([e.sentence for e in analysis.encoded], np.float32).reshape(len(analysis.encoded), DIMENSIONS)


def sections_of(analysis: Analysis, passages: Sequence[Passage]) -> list[str]:
    """Section of each sentence: pairings where any word of it is, else that of its first word."""
    starts = [p.first for p in passages]
    out: list[str] = []
    for sentence in analysis.sentences:
        k = max(bisect_right(starts, sentence.first) - 1, 0)
        held: list[str] = []
        while k < len(passages) and passages[k].first < sentence.last:
            if passages[k].last > sentence.first:
                held.append(passages[k].section)
            k += 1
        out.append("pairings" if "pairings" in held else held[0] if held else "aside")
    return out


def kept(tokens: Sequence[Token], found: Sequence[tuple[int, int]], names: Names) -> list[tuple[int, int]]:
    """The tagged phrases without what dresses others; what is joined to a phrase left out is left out too."""
    out: list[tuple[int, int]] = []
    left: tuple[int, int] | None = None
    flavours = {tokens[b - 1].lower for a, b in found if sensed(tokens, (a, b))}
    for span in found:
        with_it = left is not None and [t.lower for t in tokens[left[1] : span[0]] if t.pos != "DET"] == ["and"]
        if (
            with_it or (out and without(tokens, span)) or tasted(tokens, span) or likened(tokens, span)
            or (tokens[span[1] - 1].lower in flavours and not set_beside(tokens, span))
            or tokens[span[1] - 1].lower in names.sizes or of_another_cigar(tokens, span, names.others)
        ):
            left = span
        else:
            out.append(span)
    return out


def capitalised(analysis: Analysis, sections: Sequence[str]) -> frozenset[str]:
    """Words printed with a capital inside sentences that do not talk of pairings: people and places."""
    return frozenset(
        t.text for doc, section in zip(analysis.docs, sections, strict=True) if section != "pairings"
        for t in doc if t.i and t.text[:1].isupper() and t.pos_ == "PROPN"
    )


def inside(passages: Sequence[Passage], word: int) -> bool:
    """Whether the word lies in a pairings passage."""
    k = bisect_right(passages, word, key=lambda p: p.first) - 1
    return k >= 0 and passages[k].section == "pairings" and word < passages[k].last


def _id_at(passages: Sequence[Passage], word: int) -> str:
    """The id of the last passage that begins at or before the word, "" where none does."""
    k = bisect_right(passages, word, key=lambda p: p.first) - 1
    return passages[k].id if k >= 0 else ""


def about(passages: Sequence[Passage], tokens: Sequence[Token], i: int) -> tuple[int, int]:
    """The tokens of the sentence around token `i` that lie in passages of the same section."""
    if not inside(passages, tokens[i].word):
        return 0, len(tokens)
    low = next((j + 1 for j in range(i, -1, -1) if not inside(passages, tokens[j].word)), 0)
    return low, next((j for j in range(i, len(tokens)) if not inside(passages, tokens[j].word)), len(tokens))


def candidate(n: int, sections: Sequence[str], chances: Floats) -> bool:
    """Whether sentence `n` is read for pairings."""
    return sections[n] == "pairings" or (sections[n] not in _TASTING and float(chances[n]) >= TALK)


def among(n: int, sections: Sequence[str]) -> bool:
    """Whether sentence `n` stands beside the talk of pairings; one of a taste must stand in the middle of it."""
    sides = [sections[m] == "pairings" for m in (n - 1, n + 1) if 0 <= m < len(sections)]
    return len(sides) == 2 and all(sides) if sections[n] in _TASTING else any(sides)


_OFFERING = frozenset({"say", "want", "suggest", "propose", "swear", "reckon", "offer"})
"""With these a sentence comes to something else: "he says it wants a mild"."""


def points_back(tokens: Sequence[Token]) -> bool:
    """Whether a sentence is about what was said before it: its subject is a pronoun, or it has none ("so no")."""
    subject = next((t for t in tokens if t.clause < 2 and t.dep in ("nsubj", "nsubjpass", "expl")), None)
    offering = any(t.lemma in _OFFERING and t.clause < 2 for t in tokens)
    return (subject is None or subject.pos == "PRON") and not offering


def opens(tokens: Sequence[Token], span: tuple[int, int]) -> bool:
    """Whether the sentence opens with the name, a listed one: "my wife's chardonnay, no"."""
    first, last = span
    lead = tokens[:first]
    return bool(tokens[last - 1].mark) and tokens[first].clause == 0 and all(
        t.pos in ("DET", "CCONJ", "PART", "INTJ") or t.tag in ("PRP$", "POS") or t.dep == "poss" for t in lead
    )


def _refused_already(out: Sequence[Pairing], said: str) -> bool:
    """"I wouldn't bring no gin round it, and I like gin": what the sentence refuses it does not want as well."""
    return any(p.kind == "avoid" and key(p.value) == key(said) for p in out)


def _clipped(tokens: Sequence[Token], last: int) -> bool:
    """Whether an "is" is run together with the name that ends at `last`."""
    if last >= len(tokens) or tokens[last].word != tokens[last - 1].word:
        return False
    return tokens[last].tag != "POS" or [t.lower for t in tokens[last + 1 : last + 2]] in (["no"], ["not"], ["a"])


def _longer(pairing: Pairing, said: str) -> Pairing:
    """The pairing with what belongs to it: "crowdie" and "on an oatcake"."""
    tail = said[len(pairing.said) :].strip(" ,.;:!?")
    return replace(
        pairing, value=f"{pairing.value} {tail}", said=said, last=pairing.first + len(said.split()),
    )


def _evidence(
    words: tuple[int, int], chance: float, sure: float, no: bool, refused: float, listed: str,
) -> tuple[Evidence, ...]:
    """What a pairing rests on. `listed`: drink or food where a list holds its name, else nothing."""
    first, last = words
    found = [
        Evidence("vector", f"talks of pairings: {chance:.2f}", weight=chance),
        Evidence("model", f"tagged as a pairing: {sure:.2f}", weight=sure, first=first, last=last),
        Evidence("grammar", "refused" if no else "not refused", weight=refused, first=first, last=last),
    ]
    if listed:
        found.append(Evidence("lexicon", f"listed {listed}", first=first, last=last))
    return tuple(found)


def _only_mentioned(plain: Plain, mentioned: float, wanted: float, refused: float) -> bool:
    """Whether nothing is stated of a name: the words say so, or leave it open or doubtful and the model says so."""
    doubtful = (plain == "yes" and mentioned > ONLY) or (plain == "no" and wanted > WANTED)
    return plain == "none" or doubtful or (not plain and mentioned > max(wanted, refused))


def _told_beside(
    tokens: Sequence[Token], span: tuple[int, int], near: bool, named: Sequence[tuple[int, int]],
) -> bool:
    """Whether a sentence that is not of pairings names one. near: whether it stands beside the talk of pairings."""
    beside = near and (opens(tokens, span) or ordered_off(tokens, span))
    return beside or stands_beside(tokens, span) or had_with(tokens, span, named)


def _refused(plain: Plain, wanted: float, refused: float, even: bool) -> bool:
    """Whether it is refused: by its words or, where they leave it open, by the odds.

    even: whether something in the sentence refuses, or it speaks by an image.
    """
    return plain == "no" or (not plain and refused > (1.0 if even else UNSIGNED) * wanted)


def _dresses_too(
    tokens: Sequence[Token], spans: Sequence[tuple[int, int]], k: int, dressing: int,
) -> bool:
    """Whether the name before it was left out as a dressing, and this is joined to that: "for the prune and toffee"."""
    return k > 0 and dressing == k - 1 and joined(tokens, spans[k - 1], spans[k])


def _spans(
    analysis: Analysis, passages: Sequence[Passage], seen: Row, probes: Floats,
    tags: Sequence[tuple[str, float]], chance: float, weights: PairingWeights, names: Names, people: Collection[str],
    following: Sequence[str], talks: bool, near: bool, later: Sequence[Token], carried: bool, alone: Plain,
) -> list[Pairing]:
    """The tagged phrases of one sentence."""
    out: list[Pairing] = []
    tokens, dressing = seen.tokens, -1
    naming, signed = [float(p[1] + p[2]) for p in probes], refusing(tokens)
    found = said_again(tokens, [widen(tokens, i, last) for i, last in runs([t for t, _ in tags], tokens)])
    named = [s for s in kept(tokens, found, names) if names_something(tokens, naming, *s, people)]
    spans = [
        s for s in named if (talks and chance >= TALK) or inside(passages, tokens[s[0]].word)
        or _told_beside(tokens, s, near, named)
    ]
    for k, (a, b) in enumerate(spans):
        listed = drink_or_food(tokens, probes, a, b, out[-1].kind if out else None)
        sure, words = max(p for _, p in tags[a:b]), (tokens[a].word, tokens[b - 1].word + 1)
        mentioned, wanted, refused = (
            float(c) for c in roles(role_inputs(seen, spans, k, *about(passages, tokens, a), following), weights)
        )
        touching = bool(k and out) and out[-1].last == tokens[spans[k - 1][1] - 1].word + 1
        refused_before = touching and out[-1].kind == "avoid" if out else carried and not k
        plain: Plain = general(tokens, spans, k, names) or doubted(tokens, (a, b))
        plain = plain or plainly(tokens, spans, k, following, refused_before, later) or alone
        plain = plain or ("yes" if not inside(passages, words[0]) and had_with(tokens, (a, b), spans) else "")
        firm = plain == "yes" and (alone == "yes" or chosen(tokens, (a, b)))
        too = _dresses_too(tokens, spans, k, dressing)
        on_it = touching and dresses(tokens, spans[k - 1], (a, b))
        if too or on_it or (k and hangs_on(tokens, spans[k - 1], (a, b))):
            dressing = k if too or on_it or garnish(tokens, spans[k - 1], (a, b)) else dressing
            if on_it and belongs(tokens, spans[k - 1], (a, b)):
                out[-1] = _longer(out[-1], analysis.transcript.text(out[-1].first, words[1]))
            continue
        if not firm and _only_mentioned(plain, mentioned, wanted, refused):
            continue
        no, said = _refused(plain, wanted, refused, signed or image(tokens, b)), analysis.transcript.text(*words)
        if not no and _refused_already(out, said):
            continue
        if sure < TAGGED and not (plain or max(wanted, refused) > SURE):
            continue
        kind: PairingKind = "avoid" if no else listed
        evidence = _evidence(words, chance, sure, no, refused, listed if tokens[b - 1].mark else "")
        out.append(Pairing(
            kind=kind, value=printed(said, a == 0 and tokens[a].pos != "PROPN", _clipped(tokens, b)),
            passage=_id_at(passages, words[0]), first=words[0], last=words[1], said=said, evidence=evidence,
        ))
    return out
