"""Sections and stages: one passage a sentence, weighed from cues, lexicon, place and sentence vectors, and decoded as a
chain over the whole session."""

from __future__ import annotations

import numpy as np

from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.sections.decode import confidence, read
from voicedraft.read.sections.explain import directions, explain, nearest
from voicedraft.read.sections.features import see
from voicedraft.read.sections.labels import LABELS, Floats
from voicedraft.read.sections.weights import SectionWeights, in_use, shipped
from voicedraft.types import SECTIONS, Evidence, Passage

__all__ = ["SectionWeights", "best", "read_sections", "shipped"]

_SECTION_ROWS = np.array([[float(section == name) for name in SECTIONS] for section, _ in LABELS])


def best(chances: Floats) -> list[int]:
    """For each sentence (rows of label probabilities), the likeliest label of its likeliest section."""
    section = (chances @ _SECTION_ROWS).argmax(axis=1)
    return [int(np.where(_SECTION_ROWS[:, s] > 0, row, -1.0).argmax()) for row, s in zip(chances, section, strict=True)]


def section_chances(chances: Floats) -> Floats:
    """(sentences, sections) from (sentences, labels)."""
    result: Floats = chances @ _SECTION_ROWS
    return result


def read_sections(
    analysis: Analysis, lexicon: Lexicon | None = None, weights: SectionWeights | None = None,
) -> tuple[Passage, ...]:
    """One passage a sentence, p1, p2, …; together they cover every word. An empty analysis gives none.

    lexicon, weights: None for the shipped ones. Raises ModelError where the weights are missing or broken.
    """
    if not analysis.sentences:
        return ()
    weights = weights or in_use()
    seen = see(analysis, lexicon or load_lexicon())
    likeness = weights.near.likeness(seen.vectors)
    features, chances = read(seen, weights, likeness)
    sure = confidence(section_chances(chances), weights.temperature)
    direction = directions(weights)
    alike = nearest(likeness, weights.near)
    out = []
    for i, (sentence, label) in enumerate(zip(analysis.sentences, best(chances), strict=True)):
        section, stage = LABELS[label]
        reasons = explain(features[i], chances[i], label, direction, sentence, seen.surface.sights[i])
        like = tuple(
            Evidence("vector", f"like “{text}” ({told}), {score:.2f}", 0.0, sentence.first, sentence.last)
            for score, told, text in alike[i]
        )
        out.append(Passage(f"p{i + 1}", sentence.take, sentence.first, sentence.last, section, stage,
                           round(float(sure[i]), 3), reasons + like))
    return tuple(out)
