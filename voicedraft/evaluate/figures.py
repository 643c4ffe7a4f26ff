"""The figures of a draft against a gold session: counts a session, and pooled ratios over several.

A row is a nested dict of counts; `total` pools rows. Sections and stages are counted by words, descriptors by entries
of a stage, everything else by values; `n` counts what was said or read, `hits` what agrees.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from voicedraft.evaluate.boundaries import boundary_figures
from voicedraft.evaluate.matching import key, many, money, near, pair, similar, singular, term_credit, tokens

Row = dict[str, dict[str, Any]]

STAGED = ("prelight", "first", "second", "final")
PRESENT, ABSENT = "present", ("absent", "gone")

FACTS: Mapping[str, tuple[str, float, Callable[[Any, Any], bool]]] = {
    "cigar": ("cigar", 1, similar), "vitola": ("vitola", 1, similar), "length_in": ("length_mm", 25.4, near(1.0)),
    "ring_gauge": ("ring_gauge", 1, near(0)), "wrapper": ("wrapper", 1, similar), "binder": ("binder", 1, similar),
    "filler": ("filler", 1, many), "factory_country": ("country", 1, similar),
    "price_single": ("price_single", 1, money),
    "price_box": ("price_box", 1, money), "storage_rh_pct": ("storage_rh_pct", 1, near(0.5)),
    "rest_days": ("rest_days", 1, near(3)), "smoking_minutes": ("smoking_minutes", 1, near(1)),
    "relights": ("relights", 1, near(0)), "touch_ups": ("touch_ups", 1, near(0)),
}
"""Gold fact → key in the review, factor to the review's unit (an inch is 25.4 mm), comparison."""


def score(gold: Mapping[str, Any], review: Mapping[str, Any]) -> Row:
    """All counts of one review document (as JSON data) against one gold session."""
    return {
        "sections": section_counts(gold, review), "descriptors": descriptor_counts(gold, review),
        "facts": fact_counts(gold, review), "strength": strength_counts(gold, review),
        "scores": score_counts(gold, review), "pairings": pairing_counts(gold, review),
    }


# Sections and stages, by words

Label = tuple[str, str | None]


def _gold_words(gold: Mapping[str, Any]) -> list[tuple[str, Label]]:
    return [
        (w, (s["section"], s["stage"])) for take in gold["takes"] for s in take["sentences"] for w in tokens(s["t"])
    ]


def _read_words(review: Mapping[str, Any]) -> list[tuple[str, Label]]:
    passages = sorted(review.get("passages", []), key=lambda p: p.get("start") or 0)
    return [
        (w, (p.get("section") or "aside", p.get("stage")))
        for p in passages for w in tokens(p.get("heard") or p.get("text") or "")
    ]


def word_labels(gold: Mapping[str, Any], review: Mapping[str, Any]) -> list[tuple[Label, Label]]:
    """(gold label, read label) of each gold word; words that the review lacks count as read as aside."""
    g, r = _gold_words(gold), _read_words(review)
    matcher = difflib.SequenceMatcher(None, [w for w, _ in g], [w for w, _ in r], autojunk=False)
    read: list[Label] = [("aside", None)] * len(g)
    for tag, i1, i2, j1, j2 in matcher.get_opcodes():
        if tag not in ("equal", "replace"):
            continue
        for i in range(i1, i2):
            j = j1 + i - i1 if tag == "equal" else min(j1 + (i - i1) * (j2 - j1) // (i2 - i1), j2 - 1)
            read[i] = r[j][1]
    return [(label, read[i]) for i, (_, label) in enumerate(g)]


def section_counts(gold: Mapping[str, Any], review: Mapping[str, Any]) -> dict[str, Any]:
    """Words whose section and stage agree, confusions, WindowDiff and Pk of the section boundaries."""
    rows = word_labels(gold, review)
    wrong = Counter(f"{g[0]}>{r[0]}" for g, r in rows if g[0] != r[0])
    staged = [(g[1], r[1]) for g, r in rows if g[1] in STAGED]
    return {
        "words": len(rows), "section_hits": sum(g[0] == r[0] for g, r in rows),
        "stage_words": len(staged), "stage_hits": sum(a == b for a, b in staged),
        "confusions": dict(wrong.most_common()),
        **boundary_figures([g[0] for g, _ in rows], [r[0] for _, r in rows]),
    }


# Descriptors, by stage


def descriptor_counts(gold: Mapping[str, Any], review: Mapping[str, Any]) -> dict[str, Any]:
    """Credit, status and intensity agreement, what was said to be absent and read as there, and what nobody said."""
    g, r = gold["descriptors"], review.get("descriptors", [])
    pairs = pair(g, r, lambda a, b: term_credit(a["term"], b["term"]) if a["stage"] == b.get("stage") else 0.0)
    found, used = {i for i, _, _ in pairs}, {j for _, j, _ in pairs}
    skipped = [i for i, d in enumerate(g) if d.get("optional") and i not in found]
    both = [(g[i], r[j]) for i, j, _ in pairs]
    there = [(a, b) for a, b in both if a["status"] == b.get("status") == PRESENT and a.get("intensity")]
    said = {singular(w) for w, _ in _gold_words(gold)}
    return {
        "gold": len(g) - len(skipped), "read": len(r), "credit": sum(w for _, _, w in pairs), "paired": len(pairs),
        "status_hits": sum(_same_status(a["status"], b.get("status")) for a, b in both),
        "intensity_n": len(there), "intensity_hits": sum(a["intensity"] == b.get("intensity") for a, b in there),
        "said_contrary": sum(a["status"] in ABSENT and b.get("status") == PRESENT for a, b in both),
        "invented": sum(not set(key(d.get("term", ""))) <= said for d in r),
        "missed": [f'{d["stage"]}:{d["term"]}' for i, d in enumerate(g) if i not in found and i not in skipped],
        "extra": [f'{d.get("stage")}:{d.get("term")}:{d.get("status")}' for j, d in enumerate(r) if j not in used],
        "status_wrong": dict(Counter(
            f'{a["status"]}>{b.get("status")}' for a, b in both if not _same_status(a["status"], b.get("status"))
        )),
        "intensity_wrong": dict(Counter(
            f'{a["intensity"]}>{b.get("intensity")}' for a, b in there if a["intensity"] != b.get("intensity")
        )),
    }


def _same_status(a: str, b: str | None) -> bool:
    return a == b or {a, b} == set(ABSENT)


# Facts, strength, scores, pairings


def _fact_value(review: Mapping[str, Any], name: str) -> Any:
    entry = review.get("facts", {}).get(name)
    if isinstance(entry, Mapping):
        return None if entry.get("guessed") else entry.get("value")
    return entry


def fact_counts(gold: Mapping[str, Any], review: Mapping[str, Any]) -> dict[str, Any]:
    """Facts that agree, of all said or read."""
    n = hits = 0
    wrong: list[str] = []
    for name, (theirs, factor, same) in FACTS.items():
        want, got = gold["facts"].get(name), _fact_value(review, theirs)
        if want is None and got is None:
            continue
        n += 1
        in_unit = want * factor if isinstance(want, (int, float)) else want
        right = want is not None and got is not None and same(in_unit, got)
        hits += right
        if not right:
            wrong.append(f"{name}: wanted {want!r}, read {got!r}")
    return {"n": n, "hits": hits, "wrong": wrong}


def strength_counts(gold: Mapping[str, Any], review: Mapping[str, Any]) -> dict[str, Any]:
    """One a stage for the same range, half for an overlapping one."""
    n = hits = 0.0
    wrong: list[str] = []
    for stage in sorted({*gold["strength"], *review.get("strength", {})}):
        n += 1
        want, got = gold["strength"].get(stage), review.get("strength", {}).get(stage)
        credit = _range_credit(want, got)
        hits += credit
        if credit < 1:
            wrong.append(f"{stage}: wanted {want}, read {got and [got.get('low'), got.get('high')]}")
    return {"n": n, "hits": hits, "wrong": wrong}


def _range_credit(want: Sequence[int] | None, got: Mapping[str, Any] | None) -> float:
    if not want or not got or got.get("low") is None or got.get("high") is None:
        return 0.0
    low, high = got["low"], got["high"]
    if [low, high] == list(want):
        return 1.0
    return 0.5 if low <= want[1] and high >= want[0] else 0.0


def score_counts(gold: Mapping[str, Any], review: Mapping[str, Any]) -> dict[str, Any]:
    """Scores whose aspect, value and scale agree."""
    g, r = gold["scores"], review.get("scores", [])

    def same(a: Mapping[str, Any], b: Mapping[str, Any]) -> float:
        return float(a["value"] == b.get("value") and a["out_of"] == b.get("out_of")
                     and similar(a["aspect"], b.get("aspect", "")))

    pairs = pair(g, r, same)
    return {"n": len(g) + len(r) - len(pairs), "hits": len(pairs), "wrong": _unpaired(g, r, pairs, "score")}


def pairing_counts(gold: Mapping[str, Any], review: Mapping[str, Any]) -> dict[str, Any]:
    """Drinks, foods and what to leave aside, each by name."""
    n = hits = 0
    wrong: list[str] = []
    for kind in ("drink", "food", "avoid"):
        g = gold["pairings"].get(kind, [])
        r = [p["value"] if isinstance(p, Mapping) else p for p in review.get("pairings", {}).get(kind, [])]
        pairs = pair(g, r, lambda a, b: float(similar(a, b)))
        hits += len(pairs)
        n += len(g) + len(r) - len(pairs)
        wrong += _unpaired(g, r, pairs, kind)
    return {"n": n, "hits": hits, "wrong": wrong}


def _unpaired(gold: Sequence[Any], read: Sequence[Any], pairs: list[tuple[int, int, float]], kind: str) -> list[str]:
    found, used = {i for i, _, _ in pairs}, {j for _, j, _ in pairs}

    def brief(x: Any) -> str:
        return f'{x.get("aspect")} {x.get("value")}/{x.get("out_of")}' if isinstance(x, Mapping) else str(x)

    return [f"{kind}: missed {brief(x)}" for i, x in enumerate(gold) if i not in found] + [
        f"{kind}: extra {brief(x)}" for j, x in enumerate(read) if j not in used
    ]


def ratio(a: float, b: float) -> float:
    """`a / b` to four places; 1 where there was nothing to find and nothing was read."""
    return round(a / b, 4) if b else 1.0


def total(rows: Sequence[Row]) -> dict[str, float]:
    """Pooled figures over sessions."""

    def add(part: str, name: str) -> float:
        return float(sum(row[part][name] for row in rows))

    credit, read, paired = add("descriptors", "credit"), add("descriptors", "read"), add("descriptors", "paired")
    precision = ratio(credit, read) if read else 0.0
    recall = ratio(credit, add("descriptors", "gold"))
    n_intensity = add("descriptors", "intensity_n")
    figures = {
        "sections": ratio(add("sections", "section_hits"), add("sections", "words")),
        "stages": ratio(add("sections", "stage_hits"), add("sections", "stage_words")),
        "windowdiff": ratio(sum(r["sections"]["windowdiff"] for r in rows), len(rows)),
        "pk": ratio(sum(r["sections"]["pk"] for r in rows), len(rows)),
        "descriptor_precision": precision, "descriptor_recall": recall,
        "descriptor_f1": ratio(2 * precision * recall, precision + recall) if precision + recall else 0.0,
        "status": ratio(add("descriptors", "status_hits"), paired) if paired else 0.0,
        "intensity": ratio(add("descriptors", "intensity_hits"), n_intensity) if n_intensity else 0.0,
        "said_contrary": add("descriptors", "said_contrary"), "invented": add("descriptors", "invented"),
    }
    for part in ("facts", "strength", "scores", "pairings"):
        figures[part] = ratio(add(part, "hits"), add(part, "n"))
    return figures
