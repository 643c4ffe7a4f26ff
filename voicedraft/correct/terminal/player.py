"""Plays stretches of a recording through the computer's audio device, where there is one.

sounddevice is an optional dependency (extra `play`); on Linux it needs PortAudio, Debian's libportaudio2.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, Protocol

import av
import numpy as np
import numpy.typing as npt

from voicedraft.errors import InputError, VoicedraftError

RATE = 48_000
"""Samples a second; the rate that Opus decodes to (RFC 6716) and that every device takes."""
BUFFER_S = 0.8
"""Sound kept ahead of the device, so that a busy computer does not tear it."""
LEAD_S, TAIL_S = 0.1, 0.3
"""Silence before, and after beyond what the device keeps ahead: PulseAudio's ALSA device starts late, and at a stop
drops what it has not played (measured by recording its null sink)."""

Samples = npt.NDArray[np.float32]


class PlayError(VoicedraftError):
    """Nothing can be played here; the message says what is missing."""


class Output(Protocol):
    """Where sound goes: blocks of mono float32 samples at `RATE`."""

    def play(self, blocks: Iterable[Samples]) -> None:
        """Plays to the end, or until Ctrl-C. Raises PlayError."""


class Device:
    """The default audio device."""

    def play(self, blocks: Iterable[Samples]) -> None:
        sounddevice = _sounddevice()
        try:
            with sounddevice.OutputStream(samplerate=RATE, channels=1, dtype="float32", latency=BUFFER_S) as stream:
                stream.write(_silence(LEAD_S))
                for block in blocks:
                    stream.write(block.reshape(-1, 1))
                stream.write(_silence(stream.latency + TAIL_S))
        except KeyboardInterrupt:
            return
        except (sounddevice.PortAudioError, ValueError) as error:
            raise PlayError(f"There is no audio device to play through ({error}). Correct on the page instead, or "
                            "connect one.") from error


def _silence(seconds: float) -> Samples:
    return np.zeros((round(seconds * RATE), 1), np.float32)


def _sounddevice() -> Any:
    try:
        import sounddevice
    except ImportError as error:
        raise PlayError("Playing in the terminal needs sounddevice: pip install 'voicedraft[play]'.") from error
    except OSError as error:
        raise PlayError("Playing in the terminal needs PortAudio: on Debian, apt install libportaudio2.") from error
    return sounddevice


def cut(path: Path, start: float, end: float) -> Iterator[Samples]:
    """Seconds `start` to `end` of a recording, block by block as they are decoded, mono at `RATE`.

    Raises InputError where it cannot be decoded.
    """
    try:
        with av.open(str(path)) as container:
            yield from _blocks(container, start, end)
    except (OSError, IndexError, ValueError, av.error.FFmpegError) as error:
        raise InputError(f"{path.name} cannot be decoded ({error}). Check the recording.") from error


def _blocks(container: Any, start: float, end: float) -> Iterator[Samples]:
    container.seek(int(max(start - 1.0, 0.0) * av.time_base), any_frame=False)
    resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
    at: int | None = None
    first, last = round(start * RATE), round(end * RATE)
    for frame in _decoded(container):
        if at is None:
            at = round(float(frame.time or 0.0) * RATE if frame is not None else 0.0)
        for part in resampler.resample(frame):
            samples = part.to_ndarray().reshape(-1).astype(np.float32)
            wanted = samples[max(first - at, 0) : max(last - at, 0)]
            at += len(samples)
            if len(wanted):
                yield wanted
        if at >= last:
            return


def _decoded(container: Any) -> Iterator[Any]:
    """Every frame, then None, which empties the resampler."""
    yield from container.decode(container.streams.audio[0])
    yield None
