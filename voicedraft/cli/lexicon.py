"""`voicedraft lexicon`: what was learned from corrections, and the user's own words."""

from __future__ import annotations

from pathlib import Path

import click


@click.group(name="lexicon")
def command() -> None:
    """Show, edit, export, import and forget what was learned from your corrections.

    The folder is $VOICEDRAFT_LEXICON, else one in your configuration folder. Nothing leaves this computer.
    """


@command.command()
def show() -> int:
    """Print everything learned, each thing with the correction that it comes from, and your own words' files."""
    from voicedraft.correct.learning.telling import print_learned

    print_learned(click.echo)
    return 0


@command.command()
@click.argument("name", metavar="NAME")
def edit(name: str) -> int:
    """Open your own words of one kind in your editor: NAME is descriptors, misheard, sections, pairings or another
    file of the lexicon."""
    from voicedraft.correct.learning.editing import prepare
    from voicedraft.correct.learning.layer import build
    from voicedraft.correct.learning.store import Store

    store = Store()
    path = prepare(store, name)
    click.edit(filename=str(path))
    build(store)
    click.echo(f"Your words are in {path}.")
    return 0


@command.command()
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
def export(file: Path) -> int:
    """Write everything learned and your own words to FILE, a zip archive."""
    from voicedraft.correct.learning.editing import write_bytes
    from voicedraft.correct.learning.store import Store

    write_bytes(file, Store().export())
    click.echo(f"Written to {file}.")
    return 0


@command.command(name="import")
@click.argument("file", type=click.Path(path_type=Path), metavar="FILE")
def import_(file: Path) -> int:
    """Add an export's lessons and words to what is there. Nothing is replaced."""
    from voicedraft.correct.learning.editing import read_bytes
    from voicedraft.correct.learning.layer import build
    from voicedraft.correct.learning.store import Store

    store = Store()
    drafts, words = store.import_(read_bytes(file))
    build(store)
    click.echo(f"Added the lessons of {drafts} drafts and {words} files of words.")
    return 0


@command.command()
@click.argument("events", nargs=-1, metavar="[EVENT]...")
@click.option("--all", "everything", is_flag=True, help="Forget everything learned; your own words stay.")
def forget(events: tuple[str, ...], everything: bool) -> int:
    """Forget what the corrections EVENT taught (`voicedraft lexicon show` names them). The corrections stay."""
    from voicedraft.correct.learning.editing import forget_events
    from voicedraft.correct.learning.layer import build
    from voicedraft.correct.learning.store import Store

    store = Store()
    if everything:
        click.echo(f"Forgotten: the lessons of {store.forget_everything()} drafts.")
    else:
        click.echo(f"Forgotten: {forget_events(store, events)} things.")
    build(store)
    return 0


@command.command()
@click.argument("directories", nargs=-1, required=True, type=click.Path(path_type=Path), metavar="DIR...")
def learn(directories: tuple[Path, ...]) -> int:
    """Learn from corrected drafts; `voicedraft correct` does so by itself when it ends."""
    from voicedraft.correct.learning.telling import learn_and_tell

    for directory in directories:
        learn_and_tell(directory, click.echo)
    return 0
