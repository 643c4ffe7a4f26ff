"""`voicedraft evaluate`: the figures of the reading against gold sessions."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

    from voicedraft.evaluate.run import Scored

STYLES = ("sentences", "cues", "both")


@click.command(name="evaluate")
@click.argument("gold", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="GOLD...")
@click.option("--leave-one-out", is_flag=True, help="Fit on the other speakers, read the one (needs the train extra).")
@click.option("--by-quarters", is_flag=True,
              help="With --leave-one-out: leave out together the sessions that one of the encoders was not fitted on.")
@click.option("--fit-on", multiple=True, type=click.Path(path_type=Path), metavar="GOLD",
              help="Further sessions to fit on with --leave-one-out.")
@click.option("--style", type=click.Choice(STYLES), default="both", show_default=True,
              help="Transcripts by sentences, in cues of nine words, or both.")
@click.option("--details", is_flag=True, help="Print what was missed and what was read wrongly, session by session.")
@click.option("--json", "as_json", is_flag=True, help="Print the figures as JSON.")
def command(gold: tuple[Path, ...], leave_one_out: bool, by_quarters: bool, fit_on: tuple[Path, ...], style: str,
            details: bool, as_json: bool) -> int:
    """Score the reading against GOLD sessions: sections, stages, flavours, facts, strength, scores and pairings."""
    from rich.console import Console

    from voicedraft.evaluate import run
    from voicedraft.evaluate.gold_vtt import STYLES as KNOWN

    if by_quarters and not leave_one_out:
        raise click.UsageError("--by-quarters says what --leave-one-out leaves out. Give both.")
    golds = run.load_all(gold)
    styles = [s for s in KNOWN if style in (s, "both")]
    tell = Console(stderr=True, highlight=False)

    def on_read(name: str) -> None:
        if not as_json:
            tell.print(f"reading {name} …", end="\r")

    if leave_one_out:
        from voicedraft.train import Fitter
        from voicedraft.train.encoder import not_fitted_on, parts

        golds = sorted(golds, key=lambda told: (parts().get(told[0], -1), told[0]))  # One encoder after another.
        more = [g for _, g in run.load_all(fit_on)] if fit_on else []
        rows = run.leave_out(golds, more, Fitter(), styles, on_read, not_fitted_on,
                             (lambda name: parts().get(name, name)) if by_quarters else (lambda name: name))
    else:
        rows = run.evaluate(golds, styles, None, on_read)
    if as_json:
        click.echo(json.dumps(_data(rows, styles), indent=1, ensure_ascii=False))
    else:
        _print(Console(highlight=False), rows, styles, details)
    return 0


def _data(rows: Sequence[Scored], styles: Sequence[str]) -> dict[str, object]:
    from voicedraft.evaluate import run
    from voicedraft.evaluate.gold_vtt import STYLES as KNOWN

    return {
        "total": {s: run.pooled(rows, s) for s in KNOWN if s in styles},
        "confusions": dict(run.confusions(rows)),
        "sessions": [{"session": r.name, "style": r.style, "counts": r.row} for r in rows],
    }


def _print(console: Console, rows: Sequence[Scored], styles: Sequence[str], details: bool) -> None:
    from rich.table import Table

    from voicedraft.evaluate import run
    from voicedraft.evaluate.gold_vtt import STYLES as KNOWN

    wanted = [s for s in KNOWN if s in styles]
    totals = {s: run.pooled(rows, s) for s in wanted}
    table = Table("figure", *wanted, title=f"{len({r.name for r in rows})} sessions", title_justify="left")
    for name in totals[wanted[0]]:
        table.add_row(name.replace("_", " "), *(_figure(totals[s][name]) for s in wanted))
    console.print(table)
    confused = Table("section said > read", "words", title="Confusions", title_justify="left")
    for pair, n in run.confusions(rows):
        confused.add_row(pair, str(n))
    console.print(confused)
    if details:
        for r in rows:
            _details(console, r)


def _figure(value: float) -> str:
    return f"{value:.0f}" if value > 1 else f"{value:.4f}"


def _details(console: Console, scored: Scored) -> None:
    console.print(f"\n{scored.name}, {scored.style}", style="bold", markup=False)
    d = scored.row["descriptors"]
    for label, lines in (
        ("missed", d["missed"]), ("extra", d["extra"]), ("status", d["status_wrong"].items()),
        ("intensity", d["intensity_wrong"].items()), ("facts", scored.row["facts"]["wrong"]),
        ("strength", scored.row["strength"]["wrong"]), ("scores", scored.row["scores"]["wrong"]),
        ("pairings", scored.row["pairings"]["wrong"]),
    ):
        for line in lines:
            console.print(f"  {label}: {line}", markup=False)
