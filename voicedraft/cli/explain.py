"""`voicedraft explain`: why the draft says what it says."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(name="explain")
@click.argument("directory", type=click.Path(path_type=Path), metavar="DIR")
@click.argument("target", metavar="PASSAGE")
def command(directory: Path, target: str) -> int:
    """Print the evidence for PASSAGE of the draft in DIR: a passage (p12), a flavour, a fact or a score's aspect."""
    from rich.console import Console
    from rich.markup import escape
    from rich.table import Table

    from voicedraft.draft.explain import explain
    from voicedraft.draft.write import REVIEW, read_review

    console = Console(highlight=False)
    for item in explain(directory, read_review(directory / REVIEW), target):
        console.print(f"[bold]{escape(item.name)}[/bold]  {escape(item.value)}")
        table = Table(box=None, padding=(0, 2, 0, 0), show_header=bool(item.reasons))
        for column in ("weight", "kind", "seen", "words"):
            table.add_column(column, overflow="fold")
        for r in item.reasons:
            weight = f"{r.weight:+.2f}" if r.weight else "rule"
            table.add_row(weight, escape(r.kind), escape(r.detail), escape(r.words))
        console.print(table if item.reasons else "  no evidence kept")
    return 0
