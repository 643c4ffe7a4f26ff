"""`python -m voicedraft.cli.reference` prints CLI.md: every command's help, as the program itself gives it."""

from __future__ import annotations

from collections.abc import Iterator

import click

from voicedraft.cli import cli

WIDTH = 100


def reference() -> str:
    """The whole reference as Markdown."""
    parts = ["# Commands\n\nMade by `make docs` from the program's own help; a test holds the two together."]
    for path, command, context in _walk(cli, "voicedraft", None):
        parts.append(f"## {path}\n\n```text\n{command.get_help(context).rstrip()}\n```")
    return "\n\n".join(parts) + "\n"


def _walk(
    command: click.Command, path: str, parent: click.Context | None
) -> Iterator[tuple[str, click.Command, click.Context]]:
    context = click.Context(command, info_name=path.split()[-1], parent=parent, terminal_width=WIDTH,
                            max_content_width=WIDTH)
    yield path, command, context
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            child = command.get_command(context, name)
            if child is not None:
                yield from _walk(child, f"{path} {name}", context)


if __name__ == "__main__":
    print(reference(), end="")
