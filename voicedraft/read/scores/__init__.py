"""Scores: the marks that the speaker gave this cigar, each with the scale that he said.

What may be a mark or a scale is found in `candidates`, what is seen of it in `signs` and `seen`, and weighed by learned
signs in `decide`; the rules of `mention` have a say too. Where no scale was said, there is no score: none is made up.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.scores.amended import amended, changes, taken_over
from voicedraft.read.scores.amounts import without_amounts
from voicedraft.read.scores.becoming import not_become
from voicedraft.read.scores.decide import Given, decide
from voicedraft.read.scores.elsewhere import never_given
from voicedraft.read.scores.headed import headed_by_others
from voicedraft.read.scores.in_order import in_order
from voicedraft.read.scores.line import Words, lines
from voicedraft.read.scores.mention import Mention, Session, mentions
from voicedraft.read.scores.model import MARK, shipped
from voicedraft.read.scores.money import of_money
from voicedraft.read.scores.offered import only_offered
from voicedraft.read.scores.seen import see, without
from voicedraft.read.scores.would_have import of_others
from voicedraft.read.sign_weights import SignWeights
from voicedraft.types import Evidence, Passage, Score


def read_scores(
    analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon, weights: SignWeights | None = None
) -> tuple[Score, ...]:
    """Scores in the order in which they were said.

    passages: every word's section, in word order. weights: the learned weights, or None for the shipped ones. Raises
    LexiconError where lexicon/scores.toml is missing, ModelError where the weights are.
    """
    words, known = word_lists(lexicon), weights or shipped()
    rows = lines(analysis, passages)
    if not any(line.numbers for line in rows):
        return ()
    session = Session.of(rows, words)
    seen, never = see(rows, words, known), of_money(rows) | never_given(rows)
    ruled = _ruled(session, never)
    no_marks = headed_by_others(rows, words) | only_offered(rows, words) | not_become(rows, words)
    seen = without(seen, of_others(seen.marks, words) | no_marks | never)
    given = decide(seen, ruled, known)
    made = [[c for c in of if (row.index, c.at) not in never]
            for row, of in zip(rows, changes(rows, words), strict=True)]
    over = taken_over(rows, given, words, made)
    if over:
        ruled = {a: m for a, m in ruled.items() if (m.line.index, m.first) not in over}
        given = decide(without(seen, over), ruled, known)
    told = without_amounts(amended(rows, given, words, made), rows, lexicon.forms, words)
    return tuple(_score(one, known) for one in told)


def _ruled(session: Session, never: frozenset[tuple[int, int]]) -> dict[str, Mention]:
    """What the rules read: of each aspect the last value, those set aside after the others. never: sentence and first
    token of the numbers that are no marks."""
    last: dict[str, Mention] = {}
    for mention in _taken_up([m for m in mentions(session) if (m.line.index, m.first) not in never]):
        kept = last.get(mention.aspect)
        if kept is None or kept.earlier or not mention.earlier:
            out_of = mention.out_of or session.scale_at(mention.line.index, mention.value)
            last[mention.aspect] = replace(mention, out_of=out_of)
    for line in session.rows:
        for number, aspect in in_order(line, session.words):
            last[aspect] = Mention(aspect, number.value, None, line, number.first, number.last, False, "list")
    return last


_cut: list[tuple[Lexicon, Words]] = []


def word_lists(lexicon: Lexicon) -> Words:
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


def _score(given: Given, weights: SignWeights) -> Score:
    if given.mark is not None:
        line, start, end = given.mark.line, given.mark.number.first, given.mark.last
        reasons = "; ".join(sign for sign, _ in weights.reasons(MARK, given.signs))
    else:
        told = given.mention or given.told
        assert told is not None
        line, start, end, reasons = told.line, told.first, told.last, told.rule
    first, last = line.tokens[start].word, line.tokens[end - 1].word + 1
    passage = line.passages[start]
    said = " ".join(t.printed for t in line.tokens[start:end])
    evidence = Evidence("model", f"{said} for {given.aspect}: {reasons}", round(given.odds, 2), first, last)
    return Score(
        aspect=given.aspect, value=given.value, out_of=given.out_of, passage=passage.id if passage else "", first=first,
        last=last, said=said, evidence=(evidence,),
    )
