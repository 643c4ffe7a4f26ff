"""Sound of any kind that PyAV decodes, as a stream of 16 kHz mono blocks. A recording is never held whole."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt

from voicedraft.errors import InputError

RATE = 16_000
"""Samples a second that Whisper and Silero were trained on (Radford et al. 2022, section 2.2)."""
Samples = npt.NDArray[np.float32]

_GROUP = 480_000
"""Source samples handed to the resampler at once: ten seconds at 48 kHz. Fewer calls, a third of the time."""


@dataclass(frozen=True, slots=True)
class Sound:
    """What a file says of itself before it is decoded. `seconds` is 0 where the container does not tell."""

    seconds: float
    tags: dict[str, str]


def probe(path: Path) -> Sound:
    """The length and tags of an audio file. Raises InputError where it holds no sound that can be decoded."""
    try:
        with av.open(str(path), mode="r", metadata_errors="ignore") as container:
            if not container.streams.audio:
                raise InputError(f"{path.name} has no sound in it. Give an audio recording.")
            stream = container.streams.audio[0]
            tags = {**container.metadata, **stream.metadata}
            seconds = container.duration / av.time_base if container.duration else 0.0
            if not seconds and stream.duration and stream.time_base:
                seconds = float(stream.duration * stream.time_base)
            return Sound(max(0.0, seconds), tags)
    except (av.error.FFmpegError, OSError, ValueError) as error:
        raise _unreadable(path, error) from error


def stream(path: Path) -> Iterator[Samples]:
    """Blocks of float32 samples, -1 to 1, mono, at RATE, of some seconds each.

    A broken frame is passed over, as after a cable was pulled. Raises InputError where nothing can be decoded.
    """
    resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
    heard = False
    try:
        with av.open(str(path), mode="r", metadata_errors="ignore") as container:
            if not container.streams.audio:
                raise InputError(f"{path.name} has no sound in it. Give an audio recording.")
            for frame in _grouped(_frames(container)):
                for block in resampler.resample(frame):
                    heard = True
                    yield _samples(block)
            for block in resampler.resample(None):
                yield _samples(block)
    except (av.error.FFmpegError, OSError, ValueError) as error:
        raise _unreadable(path, error) from error
    if not heard:
        raise InputError(f"{path.name} holds no sound at all. Check the recording and try again.")


def _samples(frame: av.AudioFrame) -> Samples:
    return np.asarray(frame.to_ndarray(), np.float32).reshape(-1)


def _frames(container: av.container.InputContainer) -> Iterator[av.AudioFrame]:
    frames = container.decode(audio=0)
    while True:
        try:
            yield next(frames)
        except StopIteration:
            return
        except av.error.InvalidDataError:
            continue


def _grouped(frames: Iterator[av.AudioFrame]) -> Iterator[av.AudioFrame]:
    fifo = av.AudioFifo()
    for frame in frames:
        frame.pts = None  # Times are counted in samples; a gap in the stamps must not stop the queue.
        fifo.write(frame)
        if fifo.samples >= _GROUP and (group := fifo.read()) is not None:
            yield group
    if fifo.samples > 0 and (rest := fifo.read()) is not None:
        yield rest


def _unreadable(path: Path, error: Exception) -> InputError:
    why = getattr(error, "strerror", None) or str(error)
    return InputError(f"{path.name} cannot be read as sound ({why}). Play it to check it, or export it as WAV or FLAC.")
