"""From what is seen of a session to the probability of each section and stage, sentence by sentence."""

from __future__ import annotations

import numpy as np

from voicedraft.read.sections.chain import label_odds, moves, posteriors
from voicedraft.read.sections.features import VIEWS, Seen, second, third, views, votes, word_scores
from voicedraft.read.sections.labels import PHASE_ROWS, TOPIC_ROWS, Floats
from voicedraft.read.sections.weights import Chain, SectionWeights


def first_pass(seen: Seen, weights: SectionWeights, like: Floats | None = None) -> Floats:
    """(sentences, OUT * len(VIEWS)) scores of each view. like: as `read` takes it."""
    dense = views(seen)
    found = {view: dense[view] @ weights.maps[view] for view in dense}
    found["words"] = word_scores(seen.surface.grams, weights.words, weights.word_weights)
    found["annotated"] = votes(weights.near.likeness(seen.vectors) if like is None else like, weights.near)
    return np.hstack([found[view] for view in VIEWS])


def walk(features: Floats, kinds: tuple[int, ...], chain: Chain) -> Floats:
    """(sentences, states) probability of each state, as one chain gives it from its features."""
    start = TOPIC_ROWS @ chain.topic_start + PHASE_ROWS @ chain.phase_start
    logs = features @ chain.topic @ TOPIC_ROWS.T + features @ chain.phase @ PHASE_ROWS.T
    return posteriors(logs, moves(chain.topic_moves, chain.phase_moves), start, kinds)


def read(seen: Seen, weights: SectionWeights, like: Floats | None = None) -> tuple[Floats, Floats]:
    """(third-pass features, (sentences, labels) odds) of a session.

    like: its sentences' likeness to the annotated ones, where it is known already.
    """
    features = second(first_pass(seen, weights, like), seen)
    states = walk(features, seen.place.kinds, weights.chains[0])
    features = third(features, states, seen)
    return features, label_odds(walk(features, seen.place.kinds, weights.chains[1]))


def confidence(chance: Floats, temperature: float) -> Floats:
    """(sentences,) calibrated probability of the likeliest label: log-odds divided by the learned temperature.

    Temperature scaling is that of Guo et al. 2017 (On Calibration of Modern Neural Networks).
    """
    logs = np.log(np.maximum(chance, 1e-12)) / temperature
    logs -= logs.max(axis=1, keepdims=True)
    share = np.exp(logs)
    result: Floats = share.max(axis=1) / share.sum(axis=1)
    return result
