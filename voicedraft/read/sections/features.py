"""From what is seen of each sentence to the numbers that the three passes weigh.

First pass: four views of a sentence, each read by its own linear map into a score for every topic and phase, and the
votes of the annotated sentences that are most like it. Second pass: those scores of the sentence and of the sentences
around it, with cues and place, decoded as a chain. Third pass: the same with the second pass's probabilities of the
whole session, decoded again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.sections import place as place_of
from voicedraft.read.sections import surface as surface_of
from voicedraft.read.sections.labels import LABEL_ROWS, LABELS, PHASE_ROWS, PHASES, TOPIC_ROWS, TOPICS, Floats
from voicedraft.read.sections.place import Place, place
from voicedraft.read.sections.surface import Surface, surface
from voicedraft.read.sections.weights import Near

REACH = 5
"""Sentences to each side that make up the context."""
NEAR, OTHER_TAKE = 0.7, 0.3
"""What a sentence of the context counts: NEAR to the power of its distance, and OTHER_TAKE times that past a gap."""
LEAST = 1e-4
"""Smallest probability whose logarithm is taken."""
FADE = 0.8
"""How much of an opener's cue is remembered one sentence later."""
VIEWS = ("sentence", "context", "surface", "words", "annotated")
VOTERS, SHARPNESS = 40, 15.0
"""Annotated sentences that vote, and what likeness counts: the exponential of so many times the cosine. Chosen
leave-one-speaker-out."""
OUT = len(TOPICS) + len(PHASES)
"""Scores of one view: topics, then phases."""
REMEMBERED = tuple(
    i for i, name in enumerate(surface_of.NAMES) if name.startswith("open") or name.endswith(("third named", " left"))
)


@dataclass(frozen=True, slots=True)
class Seen:
    """All that is looked at of one session. `vectors`: (sentences, 384), length 1; `takes[i]`: take of sentence i."""

    vectors: Floats
    surface: Surface
    place: Place
    takes: tuple[int, ...]


def see(analysis: Analysis, lexicon: Lexicon) -> Seen:
    """Look at a session that has at least one sentence. The vectors come last: they may still be in the making."""
    said, where = surface(analysis, lexicon), place(analysis.sentences)
    return Seen(
        vectors=np.array([e.sentence for e in analysis.encoded], dtype=np.float64), surface=said, place=where,
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
    result: Floats = weight / np.where(total > 0, total, 1.0)
    return result


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


def votes(like: Floats, near: Near) -> Floats:
    """(sentences, OUT) log-odds of each topic and phase among the annotated sentences most like each one, against
    their shares among all; one vote by those shares is added. like: `near.likeness` of the sentences' vectors."""
    count = min(VOTERS, like.shape[1])
    at = np.argpartition(like, -count, axis=1)[:, -count:]
    best = np.take_along_axis(like, at, axis=1)
    weight = np.exp(SHARPNESS * (best - best.max(axis=1, keepdims=True)))
    found = np.einsum("nk,nko->no", weight, near.targets[at])
    share = (near.targets.sum(axis=0) + 1) / (len(near.targets) + 1)
    blocks = []
    for part in (slice(0, len(TOPICS)), slice(len(TOPICS), OUT)):
        total = share[part].sum()
        rows = (found[:, part] + share[part] / total) / (found[:, part].sum(axis=1, keepdims=True) + 1)
        blocks.append(np.log(rows) - np.log(share[part] / total))
    return np.hstack(blocks)


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
    result: Floats = weight / weight.sum(axis=1, keepdims=True)
    return result


def _around_it(rows: Floats, seen: Seen) -> list[Floats]:
    """The rows of the sentences before and after, and the mean over the take."""
    takes = np.array(seen.takes)
    same = (takes[:, None] == takes[None, :]).astype(np.float64)
    steps = [shift(rows, by) for by in (-1, 1, -2, 2)]
    return [*steps, same @ rows / same.sum(axis=1, keepdims=True), alike(seen.vectors) @ rows]


def second(first: Floats, seen: Seen) -> Floats:
    """(sentences, features) of the second pass from the first pass's scores (sentences, OUT * len(VIEWS)).

    Around the sentence the views are added up, since single ones say little there.
    """
    added = first.reshape(len(first), len(VIEWS), OUT).sum(axis=1)
    own = seen.surface.rows
    return np.hstack([first, *_around_it(added, seen), own, memory(own), seen.place.rows, np.ones((len(first), 1))])


def third(features: Floats, states: Floats, seen: Seen) -> Floats:
    """(sentences, features) of the third pass: those of the second, and what the second pass made of the session.

    states: (sentences, states) probabilities of the second pass.
    """
    n = len(states)
    labels = states @ LABEL_ROWS
    chance = np.hstack([states @ TOPIC_ROWS, states @ PHASE_ROWS, labels])
    total = np.cumsum(chance, axis=0)
    before = (total - chance) / np.maximum(1, np.arange(n))[:, None]
    after = (total[-1] - total) / np.maximum(1, n - 1 - np.arange(n))[:, None]
    return np.hstack([
        np.log(np.maximum(labels, LEAST)), chance, *_around_it(chance, seen), shift(chance, -3), shift(chance, 3),
        before, after, features,
    ])


def names() -> tuple[tuple[str, str], ...]:
    """(kind of evidence, what it is) of each column of the second pass."""
    outs = (*TOPICS, *PHASES)
    kind = {"sentence": "vector", "context": "neighbour", "surface": "cue", "words": "lexicon", "annotated": "vector"}
    out = [(kind[v], f"{v}: {o}") for v in VIEWS for o in outs]
    out += [("neighbour", f"{part}: {o}") for part in _PARTS for o in outs]
    cues, lexicon = len(surface_of.CUE_NAMES), len(surface_of.LEXICON_NAMES)
    for i, name in enumerate(surface_of.NAMES):
        out.append(("cue" if i < cues else "lexicon" if i < cues + lexicon else "grammar", name))
    out += [("cue", f"not long ago: {surface_of.NAMES[i]}") for i in REMEMBERED]
    out += [("place", name) for name in place_of.NAMES]
    return (*out, ("place", "always"))


def names_of_third() -> tuple[tuple[str, str], ...]:
    """The same for the third pass."""
    labels = [f"{section} {stage or ''}".strip() for section, stage in LABELS]
    chance = [*TOPICS, *PHASES, *labels]
    out = [("chain", f"second pass: {o}") for o in (*labels, *chance)]
    out += [("chain", f"{part}: {o}") for part in (*_PARTS, *_FAR) for o in chance]
    return (*out, *names())


_PARTS = ("sentence before", "sentence after", "second before", "second after", "rest of the take", "sentences alike")
_FAR = ("third before", "third after", "all before", "all after")
