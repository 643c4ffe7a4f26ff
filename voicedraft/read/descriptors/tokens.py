"""All tokens of a session in one row, with grammar, contextual vectors, passage and lexicon marks.

spaCy's tokens are finer than the transcript's words ("pepper's" is two tokens, one word), so each token knows its word.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from voicedraft.read.analysis import Analysis
from voicedraft.read.descriptors.lexical import Match, Matcher
from voicedraft.types import Passage

Floats = npt.NDArray[np.float32]


@dataclass(slots=True)
class Token:
    """One spaCy token. `head`: its governor's index in the row, itself for a root. `word`: its transcript word."""

    index: int
    sentence: int
    word: int
    text: str
    lower: str
    lemma: str
    tag: str
    pos: str
    dep: str
    head: int
    children: list[int] = field(default_factory=list)
    segment: int = 0
    """Running number of the stretch between two pieces of punctuation, over the whole session."""

    @property
    def punct(self) -> bool:
        """Whether it is a mark, not a word."""
        return self.pos == "PUNCT"


@dataclass(slots=True)
class Tokens:
    """The row of tokens. `vectors`: (n, 384), the mean of a token's word pieces. `bounds[s]` is sentence s's range."""

    analysis: Analysis
    rows: list[Token]
    bounds: list[tuple[int, int]]
    vectors: Floats
    sentence_vectors: Floats
    passages: Sequence[Passage]
    passage_of: list[int]
    """Index into `passages` of each token, -1 outside any."""
    lexical: list[tuple[Match, int] | None]
    """The lexicon form that covers each token with the token's place in it, or None."""

    def active(self) -> list[bool]:
        """Whether each sentence lies, wholly or in part, in a passage of a stage: elsewhere nothing is an entry."""
        out = []
        for begin, end in self.bounds:
            ends = {self.passage_of[begin], self.passage_of[end - 1]} if end > begin else set()
            out.append(any(k >= 0 and self.passages[k].stage is not None for k in ends))
        return out

    def passage(self, index: int) -> Passage | None:
        """Passage of the token, or None."""
        k = self.passage_of[index]
        return self.passages[k] if k >= 0 else None

    def stretch(self, first: int, last: int) -> tuple[int, int]:
        """The tokens of the sentence between two marks that hold tokens `[first, last)`, half-open."""
        begin, end = self.bounds[self.rows[first].sentence]
        a, b = first, last
        while a > begin and self.rows[a - 1].segment == self.rows[first].segment:
            a -= 1
        while b < end and self.rows[b].segment == self.rows[last - 1].segment:
            b += 1
        return a, b


def tokens(analysis: Analysis, passages: Sequence[Passage], matcher: Matcher) -> Tokens:
    """Flatten an analysis. Words outside every passage get passage -1."""
    rows: list[Token] = []
    bounds: list[tuple[int, int]] = []
    vectors: list[Floats] = []
    starts = [p.first for p in passages]
    segment = 0
    for sentence, doc, encoded in zip(analysis.sentences, analysis.docs, analysis.encoded, strict=True):
        base = len(rows)
        segment += 1
        offsets = sentence.offsets
        for token in doc:
            rows.append(Token(
                index=base + token.i, sentence=sentence.index, text=token.text, lower=token.lower_,
                word=sentence.first + bisect_right(offsets, token.idx) - 1,
                lemma=token.lemma_.lower(), tag=token.tag_, pos=token.pos_, dep=token.dep_, head=base + token.head.i,
            ))
        for row in rows[base:]:
            if row.head != row.index:
                rows[row.head].children.append(row.index)
            segment += row.punct and row.text in ",;:.?!…—–-("
            row.segment = segment
        bounds.append((base, len(rows)))
        vectors.append(encoded.pooled([(t.idx, t.idx + len(t.text)) for t in doc]))
    where = []
    for row in rows:
        k = bisect_right(starts, row.word) - 1
        where.append(k if k >= 0 and row.word < passages[k].last else -1)
    lexical = matcher.match([r.lower for r in rows], bounds)
    flat = np.concatenate(vectors) if vectors else np.zeros((0, 384), np.float32)
    sent = np.array([e.sentence for e in analysis.encoded], np.float32).reshape(len(analysis.encoded), flat.shape[1])
    return Tokens(analysis, rows, bounds, flat, sent, passages, where, lexical)
