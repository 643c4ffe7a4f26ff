"""What `voicedraft draft` prints when it is done."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from voicedraft.draft.view import View, Viewer
from voicedraft.session import DraftResult

SHOWN = 12
"""Flavours printed; the draft holds all."""


def print_summary(result: DraftResult, quiet: bool = False, console: Console | None = None) -> None:
    """Prints the draft in brief and where its files are; only the latter when `quiet`."""
    console = console or Console(highlight=False)
    if not quiet:
        view = Viewer(result.review).view()
        console.print(f"\n[bold]{escape(view.title or 'Draft review')}[/bold]")
        _facts(console, view)
        _flavours(console, view)
        _rest(console, view)
    for lost in result.unplaced:
        console.print(f"[bold]Not placed any more:[/bold] {escape(lost)}")
    console.print(f"[bold]Draft in[/bold] {escape(str(result.directory))}")
    if not quiet:
        for path in result.files:
            console.print(f"  {escape(path.name)}", style="dim")


def _facts(console: Console, view: View) -> None:
    table = Table(box=None, padding=(0, 2, 0, 0), show_header=False)
    for line in (*view.facts, *view.strength, *view.scores, *view.pairings):
        table.add_row(escape(line.label), escape(line.text), f"[dim]{line.clock}[/dim]")
    console.print(table)


def _flavours(console: Console, view: View) -> None:
    if not view.flavours:
        return
    table = Table(box=None, padding=(0, 2, 0, 0), header_style="bold")
    table.add_column("Flavour")
    for stage in view.stages:
        table.add_column(stage)
    for flavour in view.flavours[:SHOWN]:
        table.add_row(escape(flavour.term), *(escape(c.words) if c else "" for c in flavour.cells))
    console.print(table)
    more = len(view.flavours) - SHOWN
    if more > 0:
        console.print(f"[dim]and {more} more flavours in the draft[/dim]")


def _rest(console: Console, view: View) -> None:
    if view.not_mentioned:
        console.print(f"[bold]Not mentioned:[/bold] {escape('; '.join(view.not_mentioned))}")
    if view.look_first:
        many = "passages" if len(view.look_first) != 1 else "passage"
        console.print(f"[bold]Look first at[/bold] {len(view.look_first)} {many}: "
                      f"{escape(', '.join(f'{p.id} ({p.clock})' for p in view.look_first[:8]))}")
