"""Written pieces of speech that teach the encoder facts, marks, acts and pairings: of their flavours and sections
nothing is known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.read.analysis import Analysis, encoder, language
from voicedraft.train import acts, pairings, scores
from voicedraft.train.encoder import MADE_UP, numbers
from voicedraft.train.encoder.material import Material, tokens_of
from voicedraft.train.passages import Short, short_passages

_TOGETHER = 60
"""Pieces of one made-up speaker."""
_NONE = -100


def written(width: int) -> list[Material]:
    """Made-up speakers, each of many pieces. width: of `Material.extra`."""
    pieces = list(_pieces(load_lexicon(), width))
    return [
        _joined(f"{MADE_UP}-written{n + 1:02d}", pieces[at : at + _TOGETHER])
        for n, at in enumerate(range(0, len(pieces), _TOGETHER))
    ]


def _pieces(lexicon: Lexicon, width: int) -> Iterator[Material]:
    for short in short_passages():
        gold = _gold(short, facts=short.facts)
        analysis, _ = short.spoken()
        yield _bare(analysis.docs, width, *numbers.told_of(gold, analysis, lexicon))
    for short, told in scores.pieces():
        analysis, _ = short.spoken()
        yield _bare(analysis.docs, width, numbers.marks_of(_gold(short, scores=told), analysis, lexicon))
    for short, labels in acts.pieces():
        analysis, _ = short.spoken()
        yield _bare(analysis.docs, width, {}, _acts(analysis, labels))
    yield from _pairings(lexicon, width)


def _gold(short: Short, **told: Any) -> dict[str, Any]:
    sentences = [{"t": text, "section": section, "stage": stage} for text, section, stage in short.rows]
    return {"id": short.name, "takes": [{"minutes_since_light": None, "sentences": sentences}], **told}


def _acts(analysis: Analysis, labels: dict[str, str]) -> np.ndarray:
    """What a written sentence tells; where it was split, its parts are not known."""
    if len(analysis.docs) != 1:
        return np.full((len(analysis.docs), len(numbers.ACTS)), _NONE)
    return np.array([[classes.index(labels[kind]) for kind, classes in numbers.ACTS.items()]])


def _pairings(lexicon: Lexicon, width: int) -> Iterator[Material]:
    texts, spans = pairings.filled(pairings.names_by_kind(lexicon), 1)
    for doc, held in zip(language().pipe([t for t, _ in texts], batch_size=64), spans, strict=True):
        wanted = np.zeros(len(doc), np.int64)
        for begin, end, tag, _ in held:
            wanted[[t.i for t in doc if t.idx < end and t.idx + len(t.text) > begin]] = {"": 0, "yes": 1, "no": 2}[tag]
        yield _bare((doc,), width, {}, wanted=wanted)


def _bare(
    docs: Sequence[Any], width: int, spans: dict[numbers.Span, str], told: np.ndarray | None = None,
    wanted: np.ndarray | None = None,
) -> Material:
    count, words = len(docs), sum(len(doc) for doc in docs)
    pieces = [encoder().pieces(doc.text) for doc in docs]
    return Material(
        name="", ids=np.array([i for ids, _ in pieces for i in ids], np.int32),
        lengths=np.array([len(ids) for ids, _ in pieces], np.int32), takes=np.zeros(count, np.int32),
        extra=np.zeros((count, width), np.float16), topic=np.full(count, _NONE), phase=np.full(count, _NONE),
        tokens=tokens_of(docs, pieces), tags=np.zeros(words, np.int64), tag_weights=np.zeros(words),
        mentions=np.zeros((0, 4), np.int64), mention_weights=np.zeros(0),
        named=numbers.in_tokens(spans, docs),
        acts=np.full((count, len(numbers.ACTS)), _NONE) if told is None else told,
        wanted=np.zeros(words, np.int64) if wanted is None else wanted,
        wanted_weights=np.full(words, 0.0 if wanted is None else 1.0),
    )


def _joined(name: str, pieces: Sequence[Material]) -> Material:
    """One after another; sentences and tokens are counted on."""
    sentences = np.cumsum([0, *(len(p.lengths) for p in pieces)])
    words = np.cumsum([0, *(len(p.tokens) for p in pieces)])

    def row(part: str) -> np.ndarray:
        return np.concatenate([getattr(p, part) for p in pieces])

    tokens = np.concatenate([p.tokens + np.array([s, 0, 0]) for p, s in zip(pieces, sentences, strict=False)])
    named = np.concatenate([p.named + np.array([w, w, 0]) for p, w in zip(pieces, words, strict=False)])
    return Material(
        name=name, ids=row("ids"), lengths=row("lengths"), takes=row("takes"), extra=row("extra"), topic=row("topic"),
        phase=row("phase"), tokens=tokens.astype(np.int32), tags=row("tags"), tag_weights=row("tag_weights"),
        mentions=row("mentions"), mention_weights=row("mention_weights"), named=named, acts=row("acts"),
        wanted=row("wanted"), wanted_weights=row("wanted_weights"),
    )
