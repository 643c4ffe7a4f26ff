"""Scores: the marks that the speaker gave this cigar, each with its scale.

A score is read from a number on a scale ("nine out of ten for the draw"), from a list once the scale is said
("Draw, four."), or from a verb of scoring. The speaker's last word on an aspect wins. Where no score is given, none is
read; another cigar's, another speaker's, a supposed or refused one never is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.scores.line import Words, lines
from voicedraft.read.scores.mention import Mention, Session, mentions
from voicedraft.types import Evidence, Passage, Score


def read_scores(analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon) -> tuple[Score, ...]:
    """Scores in the order in which their aspects were first given.

    passages: every word's section, in word order. Raises LexiconError where lexicon/scores.toml is missing.
    """
    words = _words(lexicon)
    session = Session.of(lines(analysis, passages), words)
    last: dict[str, Mention] = {}
    for mention in _taken_up(mentions(session)):
        kept = last.get(mention.aspect)
        if kept is None or kept.earlier or not mention.earlier:
            last[mention.aspect] = mention
    return tuple(s for m in last.values() if (s := _score(m, session)) is not None)


STARS = 5.0
"""Stars are out of five (common practice, no source)."""
_MOST_STARS = 7
"""A longer scale said elsewhere is none of stars (common practice, no source)."""
_cut: list[tuple[Lexicon, Words]] = []


def _words(lexicon: Lexicon) -> Words:
    """The word lists of the lexicon, cut once for the lexicon read last."""
    if not _cut or _cut[0][0] is not lexicon:
        _cut[:] = [(lexicon, Words.of(lexicon))]
    return _cut[0][1]


def _taken_up(found: Sequence[Mention]) -> list[Mention]:
    """A value taken back by its number ("that four, strike it, write five") keeps the aspect it was given to."""
    out: list[Mention] = []
    for mention in found:
        texts = [t.text for t in mention.line.tokens[: mention.first]]
        struck = any(w in texts for w in ("strike", "scratch", "scrub", "cross")) and "that" in texts
        values = {n.value for n in mention.line.numbers if n.last <= mention.first}
        before = [m for m in out if m.value in values and m.line.index < mention.line.index]
        old = before[-1] if before else None
        if struck and old is not None:
            mention = replace(mention, aspect=old.aspect, earlier=False)
        out.append(mention)
    return out


def _implied(value: float) -> float | None:
    """The scale that a value without one implies: ten up to 10, a hundred from 50; else nothing is implied."""
    if value <= 10:
        return 10.0
    return 100.0 if value >= 50 else None


def _score(mention: Mention, session: Session) -> Score | None:
    line = mention.line
    out_of = mention.out_of or session.scale_at(line.index, mention.value)
    stars = line.text(mention.last) in ("star", "stars") and mention.value <= STARS
    if stars and mention.out_of is None and (out_of is None or out_of > _MOST_STARS):
        out_of = STARS
    if out_of is None or mention.value > out_of:
        out_of = STARS if stars else _implied(mention.value)
    if out_of is None:
        return None
    first, last = line.tokens[mention.first].word, line.tokens[mention.last - 1].word + 1
    passage = line.passages[mention.first]
    said = " ".join(t.printed for t in line.tokens[mention.first : mention.last])
    evidence = Evidence("number", f"{mention.rule}: {said} for {mention.aspect}", first=first, last=last)
    return Score(
        aspect=mention.aspect, value=mention.value, out_of=out_of, passage=passage.id if passage else "", first=first,
        last=last, said=said, evidence=(evidence,),
    )

