"""Prints how well sections and stages were read: figures by words, confusions, reliability of the confidence."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from voicedraft.evaluate.calibration import expected_error, reliability
from voicedraft.read.sections import best
from voicedraft.read.sections.decode import confidence
from voicedraft.read.sections.labels import LABELS, Floats
from voicedraft.types import SECTIONS

if TYPE_CHECKING:
    from voicedraft.train.sections import Prepared

_STAGED = ("prelight", "first", "second", "final")


def counts(session: Prepared, chances: Floats) -> tuple[Counter[str], Counter[str]]:
    """(words and hits of section and stage, confusions in words) of one session."""
    sums: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for label, (section, stage), n in zip(best(chances), session.labels, session.words, strict=True):
        read_section, read_stage = LABELS[label]
        sums["words"] += n
        sums["hits"] += n * (read_section == section)
        if stage in _STAGED:
            sums["staged"] += n
            sums["stage hits"] += n * (read_stage == stage)
        if read_section != section:
            wrong[f"{section} > {read_section}"] += n
    return sums, wrong


def tell(sessions: Sequence[Prepared], chances: Mapping[str, Floats]) -> None:
    """Print the figures of sessions that were read out of part."""
    from voicedraft.train.sections import judged, temperature_of

    total: Counter[str] = Counter()
    wrong: Counter[str] = Counter()
    for s in sessions:
        sums, confused = counts(s, chances[s.name])
        total += sums
        wrong += confused
        shares = sums["hits"] / sums["words"], sums["stage hits"] / max(1, sums["staged"])
        print(f"{s.name}  sections {shares[0]:.3f}  stages {shares[1]:.3f}")
    print(f"all  sections {total['hits'] / total['words']:.4f}  stages {total['stage hits'] / total['staged']:.4f}")
    for pair, n in wrong.most_common(25):
        print(f"  {pair:32} {n:5} words  {n / total['words']:.4f}")
    rows, right, words = judged(sessions, chances)
    sure = confidence(rows, temperature_of(rows, right))
    ok = [bool(a == b) for a, b in zip(rows.argmax(axis=1), right, strict=True)]
    table = reliability(sure.tolist(), ok, [float(w) for w in words])
    print("confidence   words   mean  right")
    for b in table:
        print(f"{b.low:.1f} to {b.high:.1f}  {b.weight:6.0f}  {b.mean:.3f}  {b.right:.3f}")
    print(f"expected calibration error {expected_error(table):.4f}; sections counted {len(SECTIONS)}")
