"""Short spans of speech packed into windows of at most 30 s, which cost the model the same whether full or not."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

import numpy as np

from voicedraft.hear.decode import RATE, Samples
from voicedraft.hear.voice import Span

WINDOW_S = 29.5
"""Whisper's window is 30 s (Radford et al. 2022, section 2.2); half a second is left for the end of the last word."""


@dataclass(frozen=True, slots=True)
class Window:
    """Spans of one take laid end to end. `starts` are their first samples in the take, `at` in the window."""

    take: int
    index: int
    samples: Samples = field(repr=False)
    starts: tuple[int, ...]
    at: tuple[int, ...]
    voiced: float
    """Seconds in which the voice model heard speech."""

    @property
    def seconds(self) -> float:
        """Length in seconds."""
        return len(self.samples) / RATE

    @property
    def key(self) -> str:
        """Names the window in the journal: the same sound gives the same key."""
        return f"{self.starts[0]}-{self.starts[-1] + len(self.samples) - self.at[-1]}-{len(self.starts)}"

    def place(self, start: float, end: float) -> tuple[float, float]:
        """Take seconds of a word from its window seconds. A word across a seam belongs where its middle is."""
        middle = int((start + end) / 2 * RATE)
        i = max(0, bisect_right(self.at, middle) - 1)
        first = self.at[i] / RATE
        last = (self.at[i + 1] if i + 1 < len(self.at) else len(self.samples)) / RATE
        shift = (self.starts[i] - self.at[i]) / RATE
        return max(start, first) + shift, min(max(end, first), last) + shift


def pack(take: int, spans: Iterable[Span]) -> Iterator[Window]:
    """Windows of the take, each filled with whole spans until the next would not fit."""
    held: list[Span] = []
    size, index = 0, 0
    for span in spans:
        if held and size + len(span.samples) > WINDOW_S * RATE:
            yield _window(take, index, held)
            held, size, index = [], 0, index + 1
        held.append(span)
        size += len(span.samples)
    if held:
        yield _window(take, index, held)


def _window(take: int, index: int, spans: list[Span]) -> Window:
    at = np.cumsum([0] + [len(s.samples) for s in spans[:-1]])
    return Window(
        take=take, index=index, samples=np.concatenate([s.samples for s in spans]),
        starts=tuple(s.start for s in spans), at=tuple(int(a) for a in at), voiced=sum(s.voiced for s in spans),
    )
