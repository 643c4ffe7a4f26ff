"""From what is seen of a session to the probability of each section and stage, sentence by sentence."""

from __future__ import annotations

import numpy as np

from voicedraft.read.sections.chain import label_odds, moves, posteriors
from voicedraft.read.sections.features import VIEWS, Seen, second, views, word_scores
from voicedraft.read.sections.labels import PHASE_ROWS, TOPIC_ROWS, Floats
from voicedraft.read.sections.weights import SectionWeights


def first_pass(seen: Seen, weights: SectionWeights) -> Floats:
    """(sentences, OUT * len(VIEWS)) scores of each view."""
    dense = views(seen)
    blocks = [
        word_scores(seen.surface.grams, weights.words, weights.word_weights) if view == "words"
        else dense[view] @ weights.maps[view] for view in VIEWS
    ]
    return np.hstack(blocks)


def emissions(features: Floats, weights: SectionWeights) -> Floats:
    """(sentences, states) log weights."""
    result: Floats = features @ weights.topic @ TOPIC_ROWS.T + features @ weights.phase @ PHASE_ROWS.T
    return result


def odds(features: Floats, new_take: tuple[bool, ...], weights: SectionWeights) -> Floats:
    """(sentences, labels) probability of each section and stage, as the chain gives it."""
    start = TOPIC_ROWS @ weights.topic_start + PHASE_ROWS @ weights.phase_start
    move = moves(weights.topic_moves, weights.phase_moves)
    return label_odds(posteriors(emissions(features, weights), move, start, new_take))


def read(seen: Seen, weights: SectionWeights) -> tuple[Floats, Floats]:
    """(features, odds) of a session."""
    features = second(first_pass(seen, weights), seen)
    return features, odds(features, seen.place.new_take, weights)


def confidence(chance: Floats, temperature: float) -> Floats:
    """(sentences,) calibrated probability of the likeliest label: log-odds divided by the learned temperature.

    Temperature scaling is that of Guo et al. 2017 (On Calibration of Modern Neural Networks).
    """
    logs = np.log(np.maximum(chance, 1e-12)) / temperature
    logs -= logs.max(axis=1, keepdims=True)
    share = np.exp(logs)
    result: Floats = share.max(axis=1) / share.sum(axis=1)
    return result
