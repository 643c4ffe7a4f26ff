"""Fits the score reader's weights: `python -m voicedraft.train scores`. The same sessions give the same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from voicedraft.evaluate.gold_vtt import heard
from voicedraft.evaluate.matching import similar
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.scores import word_lists
from voicedraft.read.scores.candidates import Mark
from voicedraft.read.scores.decide import marked
from voicedraft.read.scores.line import lines
from voicedraft.read.scores.model import FILE, MARK, SCALE, TOP
from voicedraft.read.scores.seen import Seen, options, scale_signs, see
from voicedraft.read.sections import read_sections
from voicedraft.read.sign_weights import SignWeights, save
from voicedraft.train import ROOT, logit
from voicedraft.train.analysed import analysed
from voicedraft.train.command import each_studied, fit_and_save
from voicedraft.train.logit import Told
from voicedraft.train.passages import Short, told_block
from voicedraft.types import Passage

PENALTY = 5.0
"""L2 penalty, chosen over folds of speakers."""
SHARE = 0.6
"""What each of the two fits of marks counts, chosen over folds of speakers."""
KNOWN_SESSIONS = 3
"""Sessions in which a sign must be seen to be weighed."""
WRITTEN = (
    Path(__file__).resolve().parent / "data" / "scores.md",
    *(
        ROOT.parent / "golden" / "scores" / f"{name}.md"
        for name in ("said", "battery", "battery2", "battery3", "nothing")
    ),
)
"""Pieces of speech with their scores, beside the annotated sessions."""


@dataclass(frozen=True, eq=False)
class Studied:
    """What is seen of one session, and the scores that the annotation gives: (aspect, value, out of)."""

    seen: Seen
    scores: tuple[tuple[str, float, float], ...]


def study_gold(gold: Mapping[str, Any], lexicon: Lexicon) -> Studied:
    """Analyse and read one annotated session, with the shipped section weights."""
    analysis = analysed(heard(dict(gold), "sentences"))
    return study(gold["scores"], analysis, read_sections(analysis, lexicon, None), lexicon)


def study(
    scores: Iterable[Mapping[str, Any]], analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon
) -> Studied:
    """The candidates of one session and the annotation's scores."""
    words = word_lists(lexicon)
    given = tuple((s["aspect"], float(s["value"]), float(s["out_of"])) for s in scores)
    return Studied(see(lines(analysis, passages), words), given)


def written(lexicon: Lexicon) -> list[Studied]:
    """The pieces of `WRITTEN`, each as a session of its own."""
    return [study(told, *short.spoken(), lexicon) for short, told in pieces()]


def pieces() -> list[tuple[Short, list[dict[str, Any]]]]:
    """Each piece of `WRITTEN` and its scores."""
    out = []
    for file in WRITTEN:
        for block in file.read_text(encoding="utf-8").split("\n## ")[1:]:
            title, *lines = block.splitlines()
            rows, told = told_block(lines)
            out.append((Short(title, rows, {}), [
                {"aspect": a, "value": v, "out_of": n} for a, (v, n) in told.items()
            ]))
    return out


def fit(studied: Sequence[Studied]) -> SignWeights:
    """Weights of every role; the scale's are fitted with the others' odds among its signs."""
    marks = [_fit([_marks(s, by_aspect) for s in studied]) for by_aspect in (True, False)]
    tables = {TOP: _fit([_tops(s) for s in studied]), MARK: _mean(marks)}
    tables[SCALE] = _fit([_scales(s, SignWeights(tables)) for s in studied])
    return SignWeights(tables)


def _fit(sessions: Sequence[Sequence[Told]]) -> dict[str, float]:
    known = logit.known_signs(
        ([signs for told in groups for signs, _ in told] for groups in sessions), KNOWN_SESSIONS)
    return logit.fit([told for groups in sessions for told in groups], known, PENALTY, places=2)


def _tops(studied: Studied) -> list[Told]:
    """For each scale of the annotation, the numbers that say it against all that say none."""
    seen, wanted = studied.seen, {n for _, _, n in studied.scores}
    told = [(tuple(signs), top.value) for top, signs in zip(seen.tops, seen.top_signs, strict=True)]
    if not wanted:
        return [((signs, False),) for signs, _ in told]
    groups = [tuple((s, v == n) for s, v in told if v == n or v not in wanted) for n in sorted(wanted)]
    return [group for group in groups if any(right for _, right in group)]


def _marks(studied: Studied, by_aspect: bool) -> list[Told]:
    """The marks that compete for an aspect, or the aspects that compete for a number."""
    seen = studied.seen
    told: dict[str | int, list[tuple[tuple[str, ...], bool]]] = {}
    for pair in seen.pairs:
        right = out_of(studied, pair.aspect, seen.marks[pair.mark]) is not None
        told.setdefault(pair.aspect if by_aspect else pair.mark, []).append((pair.signs, right))
    return [tuple(group) for group in told.values()]


def _mean(tables: Sequence[Mapping[str, float]]) -> dict[str, float]:
    """One table of two: an aspect has one mark, and a number is one aspect's. `SHARE` of each."""
    names = sorted({s for table in tables for s in table})
    return {s: round(SHARE * sum(table.get(s, 0.0) for table in tables), 2) for s in names}


def _scales(studied: Studied, weights: SignWeights) -> list[Told]:
    """For each right mark, the scales that it may stand on."""
    seen = studied.seen
    odds = [weights.weigh(TOP, signs) for signs in seen.top_signs]
    best = marked(seen, weights)
    out: list[Told] = []
    for pair in seen.pairs:
        mark = seen.marks[pair.mark]
        wanted = out_of(studied, pair.aspect, mark)
        told = options(seen, mark, odds) if wanted is not None else []
        if told:
            out.append(tuple(
                (tuple(scale_signs(seen, pair.aspect, mark, k, odds, best)), seen.tops[k].value == wanted)
                for k in told
            ))
    return out


def out_of(studied: Studied, aspect: str, mark: Mark) -> float | None:
    """The scale that the annotation gives for this value of the aspect; None where it gives no such value."""
    return next((n for a, v, n in studied.scores if v == mark.value and similar(a, aspect)), None)


def fit_golds(golds: Sequence[dict[str, Any]], studied: dict[str, Studied] | None = None) -> SignWeights:
    """Weights from gold sessions given as data, and from the written pieces.

    studied: a store that callers who fit many times may pass; a session stays there under its id.
    """
    lexicon = load_lexicon()
    return fit([*each_studied(golds, lambda _, gold: study_gold(gold, lexicon), studied), *_written()])


@cache
def _written() -> list[Studied]:
    """The written pieces, studied once: they have sections of their own, and no vector is looked at."""
    return written(load_lexicon())


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit and write the weights."""
    return fit_and_save("scores", lambda golds, file: save(fit_golds(golds), file), FILE, arguments)


if __name__ == "__main__":
    raise SystemExit(main())
