"""Fits the strength reader's weights: `python -m voicedraft.train strength`. The same sessions give the same bytes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from voicedraft.evaluate.gold_vtt import heard
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.facts.context import session
from voicedraft.read.facts.subject import mark
from voicedraft.read.sections import read_sections
from voicedraft.read.sign_weights import SignWeights, save
from voicedraft.read.strength import standing
from voicedraft.read.strength.mentions import mentions, remarks
from voicedraft.read.strength.model import FILE, ORDER
from voicedraft.read.strength.order import placed, placements, signs, together
from voicedraft.train import logit
from voicedraft.train.analysed import analysed
from voicedraft.train.command import each_studied, fit_and_save
from voicedraft.train.logit import Told
from voicedraft.types import Passage

PENALTY = 3.0
"""L2 penalty, chosen over folds of speakers."""
KNOWN_SESSIONS = 3
"""Sessions in which a sign must be seen to be weighed."""


def study_gold(gold: Mapping[str, Any], lexicon: Lexicon) -> Told:
    """Analyse and read one annotated session, with the shipped section weights."""
    analysis = analysed(heard(dict(gold), "sentences"))
    return study(gold["strength"], analysis, read_sections(analysis, lexicon, None), lexicon)


def study(
    strength: Mapping[str, Sequence[int]], analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon
) -> Told:
    """Every placement of the session's remarks with its signs; right are those that read the most of the annotation."""
    lines = mark(session(analysis, passages, lexicon), None).lines
    found = mentions(lines)
    told = together(lines, remarks(lines, found), found)
    places = placements(told)
    hits = [_hits(strength, standing(placed(lines, told, place))) for place in places]
    if len(set(hits)) < 2:
        return ()
    return tuple((tuple(signs(lines, told, p)), h == max(hits)) for p, h in zip(places, hits, strict=True))


def _hits(strength: Mapping[str, Sequence[int]], read: Sequence[Any]) -> float:
    """Thirds read as annotated, half of one that only overlaps; one that was read and not annotated counts against."""
    out = 0.0
    for m in read:
        low, high = strength.get(m.stage, (0, 0))
        out += 1.0 if (m.low, m.high) == (low, high) else 0.5 if m.low <= high and m.high >= low else -0.5
    return out


def fit(studied: Sequence[Told]) -> SignWeights:
    """The weights of a placement."""
    groups = [told for told in studied if told]
    known = logit.known_signs(([signs for signs, _ in told] for told in groups), KNOWN_SESSIONS)
    return SignWeights({ORDER: logit.fit(groups, known, PENALTY)})


def fit_golds(golds: Sequence[dict[str, Any]], studied: dict[str, Told] | None = None) -> SignWeights:
    """Weights from gold sessions given as data.

    studied: a store that callers who fit many times may pass; a session stays there under its id.
    """
    return fit(each_studied(golds, lambda _, gold: study_gold(gold, load_lexicon()), studied))


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit and write the weights."""
    return fit_and_save("strength", lambda golds, file: save(fit_golds(golds), file), FILE, arguments)


if __name__ == "__main__":
    raise SystemExit(main())
