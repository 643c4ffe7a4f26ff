"""From what is seen of each sentence to the numbers that the two passes weigh.

First pass: four views of a sentence, each read by its own linear map into a score for every topic and phase. Second
pass: those scores of the sentence and of the sentences around it, with cues and place, decoded as a chain.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.sections import place as place_of
from voicedraft.read.sections import surface as surface_of
from voicedraft.read.sections.labels import PHASES, TOPICS, Floats
from voicedraft.read.sections.place import Place, place
from voicedraft.read.sections.surface import Surface, surface

REACH = 5
"""Sentences to each side that make up the context."""
NEAR, OTHER_TAKE = 0.7, 0.3
"""What a sentence of the context counts: NEAR to the power of its distance, and OTHER_TAKE times that past a gap."""
FADE = 0.8
"""How much of an opener's cue is remembered one sentence later."""
VIEWS = ("sentence", "context", "surface", "words")
OUT = len(TOPICS) + len(PHASES)
"""Scores of one view: topics, then phases."""
REMEMBERED = tuple(
    i for i, name in enumerate(surface_of.NAMES) if name.startswith("open") or name.endswith("third named")
)


@dataclass(frozen=True, slots=True)
class Seen:
    """All that is looked at of one session. `vectors`: (sentences, 384), length 1; `takes[i]`: take of sentence i."""

    vectors: Floats
    surface: Surface
    place: Place
    takes: tuple[int, ...]


def see(analysis: Analysis, lexicon: Lexicon) -> Seen:
    """Look at a session that has at least one sentence."""
    return Seen(
        vectors=np.array([e.sentence for e in analysis.encoded], dtype=np.float64),
        surface=surface(analysis, lexicon), place=place(analysis.sentences),
        takes=tuple(s.take for s in analysis.sentences),
    )


def shift(rows: Floats, by: int) -> Floats:
    """Row i of the result is row i + by; rows that do not exist are zero."""
    out = np.zeros_like(rows)
    n = len(rows)
    if abs(by) < n:
        if by > 0:
            out[:-by] = rows[by:]
        elif by < 0:
            out[-by:] = rows[:by]
        else:
            out[:] = rows
    return out


def around(takes: Sequence[int]) -> Floats:
    """(n, n) weights that average the sentences around each one, itself left out; rows sum to one."""
    n = len(takes)
    at = np.arange(n)
    gap = np.abs(at[:, None] - at[None, :])
    same = np.array(takes)[:, None] == np.array(takes)[None, :]
    weight = NEAR**gap * np.where(same, 1.0, OTHER_TAKE) * ((gap > 0) & (gap <= REACH))
    total = weight.sum(axis=1, keepdims=True)
    return weight / np.where(total > 0, total, 1.0)


def _one(*blocks: Floats) -> Floats:
    return np.hstack([*blocks, np.ones((len(blocks[0]), 1))])


def views(seen: Seen) -> dict[str, Floats]:
    """The dense views; the last column of each is one. The view "words" is sparse and read from the grams."""
    context = around(seen.takes)
    v, s = seen.vectors * np.sqrt(20.0), seen.surface.rows
    return {
        "sentence": _one(v),
        "context": _one(v, shift(v, -1) * 0.5, shift(v, 1) * 0.5, context @ v),
        "surface": _one(s, shift(s, -1) * 0.5, shift(s, 1) * 0.5, context @ s),
    }


def word_scores(grams: Sequence[Sequence[str]], table: Mapping[str, int], weights: Floats) -> Floats:
    """(sentences, OUT) log-odds of the words, divided by the root of their number. weights: (words, OUT)."""
    out = np.zeros((len(grams), weights.shape[1]))
    for i, row in enumerate(grams):
        known = [table[g] for g in row if g in table]
        if known:
            out[i] = weights[known].sum(axis=0) / np.sqrt(len(known))
    return out


def memory(surface_rows: Floats) -> Floats:
    """(sentences, len(REMEMBERED)) the openers' cues, fading from sentence to sentence."""
    out = surface_rows[:, REMEMBERED].copy()
    for i in range(1, len(out)):
        out[i] = np.maximum(out[i], out[i - 1] * FADE)
    return out


def alike(vectors: Floats) -> Floats:
    """(n, n) weights of the sentences of the session that are most like each one; rows sum to one, itself left out."""
    if len(vectors) < 2:
        return np.zeros((len(vectors), len(vectors)))
    weight = np.exp(8.0 * (vectors @ vectors.T - 1.0))
    np.fill_diagonal(weight, 0.0)
    return weight / weight.sum(axis=1, keepdims=True)


def second(first: Floats, seen: Seen) -> Floats:
    """(sentences, features) of the second pass from the first pass's scores (sentences, OUT * len(VIEWS))."""
    n = len(first)
    total = np.cumsum(first, axis=0)
    before = (total - first) / np.maximum(1, np.arange(n))[:, None]
    after = (total[-1] - total) / np.maximum(1, n - 1 - np.arange(n))[:, None]
    takes = np.array(seen.takes)
    same = (takes[:, None] == takes[None, :]).astype(np.float64)
    take_mean = same @ first / same.sum(axis=1, keepdims=True)
    return np.hstack([
        first, shift(first, -1), shift(first, 1), shift(first, -2), shift(first, 2), take_mean, before, after,
        alike(seen.vectors) @ first, seen.surface.rows, memory(seen.surface.rows), seen.place.rows, np.ones((n, 1)),
    ])


def names() -> tuple[tuple[str, str], ...]:
    """(kind of evidence, what it is) of each column of the second pass."""
    scores = [(view, out) for view in VIEWS for out in (*TOPICS, *PHASES)]
    kind = {"sentence": "vector", "context": "neighbour", "surface": "cue", "words": "lexicon"}
    own = [(kind[v], f"{v}: {o}") for v, o in scores]
    out = list(own)
    for part in ("sentence before", "sentence after", "second before", "second after", "take", "all before",
                 "all after", "sentences alike"):
        out += [("neighbour", f"{part}: {v}: {o}") for v, o in scores]
    cues, lexicon = len(surface_of.CUE_NAMES), len(surface_of.LEXICON_NAMES)
    for i, name in enumerate(surface_of.NAMES):
        out.append(("cue" if i < cues else "lexicon" if i < cues + lexicon else "grammar", name))
    out += [("cue", f"not long ago: {surface_of.NAMES[i]}") for i in REMEMBERED]
    out += [("place", name) for name in place_of.NAMES]
    return (*out, ("place", "always"))
