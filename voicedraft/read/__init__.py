"""Read: from a transcript to a reading, by one visible ordered list of steps.

Each step takes the analysis and what the steps before it found, and adds one part. A step never writes text: it
records values with the words and the evidence that they came from.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.read.analysis import Analysis, analyse
from voicedraft.read.descriptors import read_descriptors
from voicedraft.read.descriptors.weights import DescriptorWeights
from voicedraft.read.facts import read_facts
from voicedraft.read.pairings import read_pairings
from voicedraft.read.pairings.model import PairingWeights
from voicedraft.read.scores import read_scores
from voicedraft.read.sections import SectionWeights, read_sections
from voicedraft.read.sign_weights import SignWeights
from voicedraft.read.strength import read_strength
from voicedraft.types import Passage, Reading, Transcript


@dataclass(frozen=True, slots=True)
class Weights:
    """Learned weights, a part each; None for the shipped ones. Evaluation gives weights fitted on other speakers."""

    sections: SectionWeights | None = None
    descriptors: DescriptorWeights | None = None
    pairings: PairingWeights | None = None
    facts: SignWeights | None = None
    scores: SignWeights | None = None
    strength: SignWeights | None = None


Step = Callable[[Analysis, Reading, Lexicon, Weights], Reading]

STEPS: tuple[tuple[str, Step], ...] = (
    ("sections", lambda a, r, lex, w: replace(r, passages=read_sections(a, lex, w.sections))),
    ("descriptors", lambda a, r, lex, w: replace(r, descriptors=read_descriptors(a, r.passages, lex, w.descriptors))),
    ("strength", lambda a, r, lex, w: replace(r, strength=read_strength(a, r.passages, lex, w.strength))),
    ("facts", lambda a, r, lex, w: replace(r, facts=read_facts(a, r.passages, lex, w.facts))),
    ("scores", lambda a, r, lex, w: replace(r, scores=read_scores(a, r.passages, lex, w.scores))),
    ("pairings", lambda a, r, lex, w: replace(r, pairings=read_pairings(a, r.passages, lex, w.pairings))),
)
"""The whole of reading, in order."""


def read(transcript: Transcript, lexicon: Lexicon | None = None, weights: Weights | None = None) -> Reading:
    """Read a transcript. Raises ModelError where a language model is missing, LexiconError on a malformed lexicon.

    An empty transcript gives an empty reading.
    """
    return read_analysis(analyse(transcript), lexicon or load_lexicon(), weights or Weights())


def read_analysis(analysis: Analysis, lexicon: Lexicon, weights: Weights) -> Reading:
    """The steps over an analysis that is already made."""
    return _steps(analysis, Reading(transcript=analysis.transcript, passages=()), lexicon, weights, STEPS)


def read_values(analysis: Analysis, passages: tuple[Passage, ...], lexicon: Lexicon, weights: Weights) -> Reading:
    """Everything but the sections, from passages that are known already."""
    reading = Reading(transcript=analysis.transcript, passages=passages)
    return _steps(analysis, reading, lexicon, weights, [step for step in STEPS if step[0] != "sections"])


def _steps(
    analysis: Analysis, reading: Reading, lexicon: Lexicon, weights: Weights, steps: Sequence[tuple[str, Step]],
) -> Reading:
    for _, step in steps:
        reading = step(analysis, reading, lexicon, weights)
    return reading
