"""Where somebody speaks: Silero's voice activity model run over a stream, long silence passed over cheaply.

Silence costs almost nothing: a block whose frames never rise above the room's own level is not shown to the model.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from faster_whisper.vad import get_vad_model

from voicedraft.hear.decode import RATE, Samples

FRAME = 512
"""Samples of one decision, and the 64 before it that the model sees too: fixed by Silero v6 at 16 kHz."""
CONTEXT = 64
SPEECH, SILENCE = 0.5, 0.35
"""Probability at which speech starts and under which it ends: Silero's own defaults."""
JOIN_S = 0.8
"""A shorter pause stays inside a span, so that the model hears the pauses that part sentences. Set on our own takes."""
PAD_S = 0.25
"""Sound kept before and after speech, so that no soft first or last sound is cut."""
LONGEST_S = 12.0
"""A span is cut at its quietest frame before it grows past this, so that windows fill up. Tuned on our own takes."""
RISE_DB = 5.0
"""Frames louder than the room by this are shown to the model: speech at a lower ratio is not understood anyway."""
FLOOR_DB = -72.0
"""Below this a frame is digital silence whatever the room is."""

Probabilities = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Span:
    """Sound with speech in it. `start` is its first sample in the take; `voiced` the seconds of it that are speech."""

    start: int
    samples: Samples
    voiced: float

    @property
    def end(self) -> int:
        """First sample after it."""
        return self.start + len(self.samples)


class VoiceModel:
    """Silero over consecutive blocks, its memory carried from block to block as if they were one."""

    def __init__(self) -> None:
        self._session = get_vad_model().session
        self.reset()

    def reset(self) -> None:
        """Forget what went before, after sound was passed over."""
        self._h = np.zeros((1, 1, 128), np.float32)
        self._c = np.zeros((1, 1, 128), np.float32)
        self._before = np.zeros(CONTEXT, np.float32)

    def __call__(self, frames: Samples) -> Probabilities:
        """Probability of speech in each row of `frames`, shape (n, FRAME)."""
        tails = np.concatenate([self._before[None], frames[:-1, -CONTEXT:]])
        inputs = np.ascontiguousarray(np.concatenate([tails, frames], axis=1))
        out, self._h, self._c = self._session.run(None, {"input": inputs, "h": self._h, "c": self._c})
        self._before = frames[-1, -CONTEXT:].copy()
        return np.asarray(out, np.float32).reshape(-1)


class Gate:
    """Tells blocks that may hold speech from the sound of the room, by level alone."""

    def __init__(self) -> None:
        self._floor: float | None = None

    def __call__(self, frames: Samples) -> bool:
        """Whether `frames` must be shown to the model. Learns the room's level from the quiet frames."""
        level = 10 * np.log10(np.einsum("ij,ij->i", frames, frames) / FRAME + 1e-12)
        quiet = float(np.percentile(level, 10))
        floor = quiet if self._floor is None else min(quiet, self._floor + 1.0)
        self._floor = floor
        return bool(np.any(level > max(floor + RISE_DB, FLOOR_DB)))


def find_speech(blocks: Iterator[Samples]) -> Iterator[Span]:
    """The spans of a take in which somebody speaks, in order, each at most LONGEST_S long with its padding."""
    cutter, model, gate = _Cutter(), VoiceModel(), Gate()
    idle = False
    for frames in _framed(blocks):
        if gate(frames):
            if idle:
                model.reset()
            idle = False
            yield from cutter.feed(frames, model(frames))
        else:
            idle = True
            yield from cutter.feed(frames, np.zeros(len(frames), np.float32))
    yield from cutter.close()


def _framed(blocks: Iterator[Samples], frames: int = 32) -> Iterator[Samples]:
    """Arrays of shape (frames, FRAME), about a second each; the last is filled up with silence."""
    size = frames * FRAME
    rest = np.zeros(0, np.float32)
    for block in blocks:
        rest = np.concatenate([rest, block])
        whole = len(rest) // size * size
        for at in range(0, whole, size):
            yield rest[at : at + size].reshape(-1, FRAME)
        rest = rest[whole:]
    if len(rest):
        yield np.pad(rest, (0, -len(rest) % FRAME)).reshape(-1, FRAME)


class _Cutter:
    """Joins frames to spans. Holds the sound of the open span only, and PAD_S of the silence before it."""

    def __init__(self) -> None:
        self._sound = np.zeros(0, np.float32)
        self._odds = np.zeros(0, np.float32)
        self._at = 0  # sample at which _sound begins
        self._speaking = False
        self._last = 0  # frame after the last voiced one, counted in _odds
        self._pad = round(PAD_S * RATE / FRAME)
        self._join = round(JOIN_S * RATE / FRAME)
        self._longest = int(LONGEST_S * RATE / FRAME)

    def feed(self, frames: Samples, odds: Probabilities) -> Iterator[Span]:
        """Spans that are finished once these frames are known."""
        begin = len(self._odds)
        self._sound = np.concatenate([self._sound, frames.reshape(-1)])
        self._odds = np.concatenate([self._odds, odds])
        yield from self._scan(begin)

    def _scan(self, i: int) -> Iterator[Span]:
        while i < len(self._odds):
            p = self._odds[i]
            if not self._speaking:
                if p >= SPEECH:
                    i -= self._forget(i - self._pad)
                    self._speaking, self._last = True, i + 1
            else:
                if p >= SILENCE:
                    self._last = i + 1
                if i + 1 - self._last >= self._join:
                    dropped, span = self._cut_after(self._last + self._pad)
                    i -= dropped
                    self._speaking = False
                    yield span
                elif i + 1 >= self._longest:
                    dropped, span = self._cut_after(self._quietest(i + 1))
                    i -= dropped
                    yield span
            i += 1
        if not self._speaking:
            self._forget(len(self._odds) - self._pad)

    def _quietest(self, end: int) -> int:
        """Frame in the second half of the open span after which a cut hurts least: the middle of the deepest pause."""
        half = end // 2
        smooth = np.convolve(self._odds[half:end], np.ones(9) / 9, mode="same")
        return half + int(np.argmin(smooth[:-5])) + 1

    def _cut_after(self, frame: int) -> tuple[int, Span]:
        """The span up to `frame`, and the number of frames dropped with it."""
        frame = min(frame, len(self._odds))
        voiced = float(np.count_nonzero(self._odds[:frame] >= SILENCE)) * FRAME / RATE
        span = Span(self._at, self._sound[: frame * FRAME].copy(), voiced)
        return self._forget(frame), span

    def _forget(self, frames: int) -> int:
        """Drop the first `frames` frames; gives how many were dropped."""
        if frames <= 0:
            return 0
        self._sound, self._odds = self._sound[frames * FRAME :], self._odds[frames:]
        self._at += frames * FRAME
        self._last = max(0, self._last - frames)
        return frames

    def close(self) -> Iterator[Span]:
        """The span that is still open at the end of the take."""
        if self._speaking:
            yield self._cut_after(self._last + self._pad)[1]
