"""The command of a part that is fitted on gold sessions and kept in one file."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

from voicedraft.evaluate.gold import load

Studied = TypeVar("Studied")


def fit_and_save(
    part: str, make: Callable[[Sequence[dict[str, Any]], Path], None], file: Path, arguments: Sequence[str] | None,
) -> int:
    """`python -m voicedraft.train PART GOLD... [--output FILE]`: make the file from the sessions, in order of name.

    Raises InputError where a gold session is missing or none.
    """
    parser = argparse.ArgumentParser(prog=f"python -m voicedraft.train {part}", description=f"Fit the {part}.")
    parser.add_argument("gold", nargs="+", type=Path, help="annotated sessions")
    parser.add_argument("--output", type=Path, default=file)
    options = parser.parse_args(arguments)
    golds = [load(path) for path in sorted(options.gold, key=lambda p: p.stem)]
    make(golds, options.output)
    print(f"{options.output}: {options.output.stat().st_size:,} bytes from {len(golds)} sessions")
    return 0


def each_studied(
    golds: Sequence[dict[str, Any]], study: Callable[[int, dict[str, Any]], Studied], store: dict[str, Studied] | None
) -> list[Studied]:
    """What `study(place, gold)` makes of each session, in order; a session stays in the store under its id.

    store: one that callers who fit many times keep, or None.
    """
    kept = {} if store is None else store
    for n, gold in enumerate(golds):
        if gold["id"] not in kept:
            kept[gold["id"]] = study(n, gold)
    return [kept[gold["id"]] for gold in golds]
