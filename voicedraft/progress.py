"""How long-running work tells how far it is. The library takes a `Progress`; the command line shows it with rich."""

from __future__ import annotations

from types import TracebackType
from typing import Protocol, Self

from rich.console import Console
from rich.progress import BarColumn, TaskID, TextColumn, TimeRemainingColumn
from rich.progress import Progress as Bars


class Progress(Protocol):
    """Used as a context. `begin` names a step and its total in seconds of sound (or bytes); `advance` moves it."""

    def __enter__(self) -> Self: ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...

    def begin(self, step: str, total: float) -> None:
        """Starts the step `step`, which ends at `total`."""

    def advance(self, amount: float) -> None:
        """Moves the step on by `amount`."""

    def say(self, message: str) -> None:
        """Tells the user one thing in passing."""


class SilentProgress:
    """Shows nothing."""

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        return None

    def begin(self, step: str, total: float) -> None:
        """Nothing to show."""

    def advance(self, amount: float) -> None:
        """Nothing to show."""

    def say(self, message: str) -> None:
        """Nothing to show."""


class RichProgress:
    """A bar with the time left, on standard error."""

    def __init__(self, console: Console | None = None) -> None:
        console = console or Console(stderr=True)
        self._bars = Bars(
            TextColumn("{task.description}"), BarColumn(), TextColumn("{task.percentage:>3.0f} %"),
            TimeRemainingColumn(), console=console, transient=True,
            disable=not console.is_terminal,
        )
        self._task: TaskID | None = None

    def __enter__(self) -> Self:
        self._bars.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._bars.stop()

    def begin(self, step: str, total: float) -> None:
        """A new bar in place of the last."""
        if self._task is not None:
            self._bars.remove_task(self._task)
        self._task = self._bars.add_task(step, total=max(total, 1e-9))

    def advance(self, amount: float) -> None:
        """Moves the bar on."""
        if self._task is not None:
            self._bars.advance(self._task, amount)

    def say(self, message: str) -> None:
        """A line above the bar."""
        self._bars.console.print(message, markup=False, highlight=False)
