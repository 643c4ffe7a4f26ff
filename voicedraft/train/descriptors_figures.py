"""Figures of the descriptors on speakers that were not learned from, with annotated and with read sections.

    python -m voicedraft.train.descriptors --leave-one-out [--parts=7] GOLD...

Every session named s… is read by weights, of the sections too, that saw neither it nor the others of its part. As many
parts as sessions is leave-one-speaker-out; fewer parts learn from fewer speakers and are quicker.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from voicedraft.evaluate.figures import descriptor_counts
from voicedraft.evaluate.gold import gold_passages, transcript
from voicedraft.evaluate.gold_vtt import STYLES, heard
from voicedraft.lexicon import load_lexicon
from voicedraft.read.analysis import analyse
from voicedraft.read.descriptors import read_descriptors
from voicedraft.read.descriptors.weights import DescriptorWeights
from voicedraft.read.sections import SectionWeights, read_sections
from voicedraft.train.descriptors import Session, fit_golds
from voicedraft.types import Descriptor

Row = dict[str, Any]


def as_review(found: Sequence[Descriptor]) -> dict[str, Any]:
    """The part of a review that is scored here."""
    return {"descriptors": [
        {"term": d.term, "stage": d.stage, "status": d.status, "intensity": d.intensity} for d in found
    ]}


def rows_of(gold: dict[str, Any], weights: DescriptorWeights, sections: SectionWeights) -> dict[str, Row]:
    """Counts of one session: annotated sections, then read sections in each style of transcript."""
    lexicon = load_lexicon()
    found = {"annotated sections": read_descriptors(analyse(transcript(gold)), gold_passages(gold), lexicon, weights)}
    for style in STYLES:
        analysis = analyse(heard(gold, style))
        passages = read_sections(analysis, lexicon, sections)
        found[f"read sections, {style}"] = read_descriptors(analysis, passages, lexicon, weights)
    return {name: descriptor_counts(gold, as_review(d)) for name, d in found.items()}


def table(rows: Sequence[Row]) -> str:
    """Pooled figures in one line."""
    def add(name: str) -> float:
        return float(sum(r[name] for r in rows))

    precision, recall = add("credit") / max(1, add("read")), add("credit") / max(1, add("gold"))
    f1 = 2 * precision * recall / max(1e-9, precision + recall)
    status = add("status_hits") / max(1, add("paired"))
    intensity = add("intensity_hits") / max(1, add("intensity_n"))
    return (f"precision {precision:.3f} recall {recall:.3f} F1 {f1:.3f} status {status:.3f} intensity {intensity:.3f} "
            f"contrary {add('said_contrary'):.0f} invented {add('invented'):.0f}")


def leave_one_out(golds: Sequence[dict[str, Any]], parts: int = 0, wanted: str = "s") -> dict[str, list[Row]]:
    """Print and return the counts of the sessions whose id begins with `wanted`. parts: 0 for one a session."""
    from voicedraft.train import sections as section_training

    prepared: dict[str, Session] = {}
    looked_at = [section_training.prepare(g["id"], g) for g in golds]
    parts = parts or len(golds)
    out: dict[str, list[Row]] = {}
    for part in range(parts):
        held = [i for i in range(len(golds)) if i % parts == part and golds[i]["id"].startswith(wanted)]
        if not held:
            continue
        rest = [i for i in range(len(golds)) if i % parts != part]
        weights = fit_golds([golds[i] for i in rest], prepared)
        sections = section_training.fit([looked_at[i] for i in rest])
        for i in held:
            for name, row in rows_of(golds[i], weights, sections).items():
                out.setdefault(name, []).append(row)
        print(f"part {part + 1} of {parts}:", table(out["annotated sections"]), flush=True)
    for name, rows in out.items():
        print(f"{name}: {table(rows)}", flush=True)
    return out
