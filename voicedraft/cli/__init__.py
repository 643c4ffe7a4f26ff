"""The command line: each command calls one room and holds no logic. Errors become one sentence and exit code 2."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from importlib import import_module

import click

from voicedraft import __version__
from voicedraft.errors import VoicedraftError

COMMANDS = {
    "draft": "voicedraft.cli.draft", "explain": "voicedraft.cli.explain", "models": "voicedraft.cli.models",
    "evaluate": "voicedraft.cli.evaluate", "correct": "voicedraft.cli.correct", "lexicon": "voicedraft.cli.lexicon",
}
"""Command → module whose `command` it is; loaded only when asked for, so that a start stays fast."""

FAILED, INTERRUPTED = 2, 130
COLLECT_EVERY = (100_000, 50, 50)
"""Objects, and collections of the younger ones, between two looks for garbage in circles (Python 3.11 looks every 700,
10, 10): a session's grammar is hundreds of thousands of objects, none of them garbage. Measured: a cold draft in 2 to
4 % less processor time, in no more memory."""
SWITCH_S = 0.0005
"""Seconds after which a thread that computes gives way to another (Python: 0.005). The encoder's thread waits for its
turn between two batches; measured: 1,500 words read in 2 to 3 % less time."""


class _Lazy(click.Group):
    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in COMMANDS:
            return None
        command: click.Command = import_module(COMMANDS[name]).command
        return command


@click.group(cls=_Lazy, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="voicedraft")
def cli() -> None:
    """From a spoken cigar tasting to a draft review in which every line leads back to the words and the sound.

    Nothing is invented: what was not said stays blank. For adults of legal age; local law first.
    """


def main(args: Sequence[str] | None = None) -> None:
    """Entry point: runs the command line and exits with its code."""
    set_up()
    code = run(args)
    gc.freeze()  # Python looks for circles a last time as it ends, 0.2 s for nothing; files are closed by now.
    sys.exit(code)


def set_up() -> None:
    """How Python and NumPy work within a command; before NumPy is loaded."""
    gc.set_threshold(*COLLECT_EVERY)
    sys.setswitchinterval(SWITCH_S)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # More threads wait busily for one another in small products.


def run(args: Sequence[str] | None = None) -> int:
    """Runs one command and gives its exit code: 0 done, 2 a user's mistake told in one sentence, 130 interrupted."""
    try:
        result = cli.main(args=list(args) if args is not None else None, prog_name="voicedraft", standalone_mode=False)
    except VoicedraftError as error:
        click.echo(f"voicedraft: {error}", err=True)
        return FAILED
    except click.ClickException as error:
        error.show()
        return FAILED
    except (click.Abort, KeyboardInterrupt):
        click.echo("voicedraft: stopped. What was finished is kept; run the same command again to go on.", err=True)
        return INTERRUPTED
    except click.exceptions.Exit as done:
        return done.exit_code
    return result if isinstance(result, int) else 0
