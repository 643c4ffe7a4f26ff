"""`voicedraft correct`: sets a draft right, on a local page or in the terminal."""

from __future__ import annotations

from pathlib import Path

import click


@click.command(name="correct")
@click.argument("directory", type=click.Path(path_type=Path), metavar="DIR")
@click.option("--terminal", is_flag=True, help="Correct in the terminal instead of a page.")
@click.option("--list", "listing", is_flag=True, help="Print the corrections made so far and stop.")
@click.option("--name", "who", default="reviewer", show_default=True, help="Written beside each correction.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port of the page; by default a free one.")
@click.option("--no-browser", is_flag=True, help="Print the page's address without opening it.")
@click.option("--no-learning", is_flag=True, help="Learn nothing from these corrections.")
def command(directory: Path, terminal: bool, listing: bool, who: str, port: int, no_browser: bool,
            no_learning: bool) -> int:
    """Correct the draft in DIR by ear, from the keyboard.

    Opens a page that only this computer can reach; Ctrl-C ends it. Every correction is saved at once, in
    DIR/corrections.jsonl, and kept when the recordings are transcribed again.
    """
    if listing:
        from voicedraft.correct.listing import print_corrections

        print_corrections(directory, click.echo)
        return 0
    if terminal:
        from voicedraft.correct.terminal import correct_in_terminal

        correct_in_terminal(directory, who)
    else:
        from voicedraft.correct.web.serve import serve

        serve(directory, who, port, not no_browser,
              lambda address: click.echo(f"The page: {address}\nOnly this computer can open it. Ctrl-C ends it."))
    if not no_learning:
        from voicedraft.correct.learning.telling import learn_and_tell

        learn_and_tell(directory, click.echo)
    return 0
