"""Reads gold sessions with the program and scores the readings."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from voicedraft.draft.compose import compose
from voicedraft.errors import InputError
from voicedraft.evaluate.figures import Row, score, total
from voicedraft.evaluate.gold import load
from voicedraft.evaluate.gold_vtt import STYLES, Style, heard
from voicedraft.lexicon import load_lexicon
from voicedraft.read import Weights, read

Fit = Callable[[Sequence[dict[str, Any]]], Weights]


@dataclass(frozen=True, slots=True)
class Scored:
    """One session read in one style, with its counts."""

    name: str
    style: Style
    row: Row


def load_all(paths: Iterable[Path]) -> list[tuple[str, dict[str, Any]]]:
    """(name, gold) of each file. Raises InputError where one is missing or no gold session, or none is given."""
    golds = [(p.stem, load(p)) for p in paths]
    if not golds:
        raise InputError("No gold session was given. Give at least one .json file.")
    return golds


def review_of(gold: dict[str, Any], style: Style, weights: Weights | None = None) -> dict[str, Any]:
    """The review that the program drafts from the session's transcript, as JSON data."""
    reading = read(heard(gold, style), load_lexicon(), weights)
    data: dict[str, Any] = compose(reading).model_dump(mode="json")
    return data


def evaluate(
    golds: Sequence[tuple[str, dict[str, Any]]], styles: Sequence[Style] = STYLES, weights: Weights | None = None,
    on_read: Callable[[str], None] = lambda name: None,
) -> list[Scored]:
    """Each session read in each style with the given or the shipped weights."""
    rows = []
    for name, gold in golds:
        on_read(name)
        rows += [Scored(name, style, score(gold, review_of(gold, style, weights))) for style in styles]
    return rows


def leave_out(
    golds: Sequence[tuple[str, dict[str, Any]]], more: Sequence[dict[str, Any]], fit: Fit,
    styles: Sequence[Style] = STYLES, on_read: Callable[[str], None] = lambda name: None,
    apart: Callable[[str], AbstractContextManager[None]] = lambda name: nullcontext(),
    together: Callable[[str], object] = lambda name: name,
) -> list[Scored]:
    """Each session read with weights fitted on others and on `more`, never on itself.

    apart(name): within it, nothing that was fitted on the session of that name is used for anything. together(name):
    sessions for which it gives the same are left out together, in one fit; else one speaker at a time.
    """
    groups: dict[object, list[tuple[str, dict[str, Any]]]] = {}
    for name, gold in golds:
        groups.setdefault(together(name), []).append((name, gold))
    rows: list[Scored] = []
    for group in groups.values():
        held = {name for name, _ in group}
        with apart(group[0][0]):
            rows += evaluate(group, styles, fit([*(g for n, g in golds if n not in held), *more]), on_read)
    return rows


def pooled(rows: Sequence[Scored], style: Style | None = None) -> dict[str, float]:
    """Figures over all rows, or over those of one style."""
    return total([r.row for r in rows if style in (None, r.style)])


def confusions(rows: Sequence[Scored], most: int = 15) -> list[tuple[str, int]]:
    """The commonest section confusions, gold > read, in words."""
    counts: dict[str, int] = {}
    for r in rows:
        for pair, n in r.row["sections"]["confusions"].items():
            counts[pair] = counts.get(pair, 0) + n
    return sorted(counts.items(), key=lambda item: -item[1])[:most]
