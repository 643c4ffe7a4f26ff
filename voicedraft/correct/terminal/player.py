"""Plays stretches of a recording through the computer's audio device, where there is one.

sounddevice is an optional dependency (extra `play`); on Linux it needs PortAudio, Debian's libportaudio2.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Protocol

import av
import numpy as np
import numpy.typing as npt

from voicedraft.errors import InputError, VoicedraftError

RATE = 48_000
"""Samples a second; the rate that Opus decodes to (RFC 6716) and that every device takes."""


class PlayError(VoicedraftError):
    """Nothing can be played here; the message says what is missing."""


class Output(Protocol):
    """Where sound goes: mono float32 samples at `RATE`."""

    def play(self, samples: npt.NDArray[np.float32]) -> None:
        """Plays to the end. Raises PlayError."""


class Device:
    """The default audio device."""

    def play(self, samples: npt.NDArray[np.float32]) -> None:
        sounddevice = _sounddevice()
        try:
            sounddevice.play(samples, RATE, blocking=True)
        except KeyboardInterrupt:
            sounddevice.stop()
        except Exception as error:
            raise PlayError(f"There is no audio device to play through ({error}). Correct on the page instead, or "
                            "connect one.") from error


def _sounddevice() -> Any:
    try:
        import sounddevice
    except ImportError as error:
        raise PlayError("Playing in the terminal needs sounddevice: pip install 'voicedraft[play]'.") from error
    except OSError as error:
        raise PlayError("Playing in the terminal needs PortAudio: on Debian, apt install libportaudio2.") from error
    return sounddevice


def cut(path: Path, start: float, end: float) -> npt.NDArray[np.float32]:
    """Seconds `start` to `end` of a recording, mono at `RATE`. Raises InputError where it cannot be decoded."""
    parts: list[npt.NDArray[np.float32]] = []
    position: float | None = None
    try:
        with av.open(str(path)) as container:
            stream = container.streams.audio[0]
            container.seek(int(max(start - 1.0, 0.0) * av.time_base), any_frame=False)
            resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
            for frame in container.decode(stream):
                if position is None:
                    position = float(frame.time or 0.0)
                if frame.time is not None and frame.time > end + 0.2:
                    break
                parts += [p.to_ndarray().reshape(-1).astype(np.float32) for p in resampler.resample(frame)]
    except (OSError, IndexError, ValueError, av.error.FFmpegError) as error:
        raise InputError(f"{path.name} cannot be decoded ({error}). Check the recording.") from error
    if not parts or position is None:
        return np.zeros(0, np.float32)
    samples = np.concatenate(parts)
    first = max(round((start - position) * RATE), 0)
    return samples[first : max(first, round((end - position) * RATE))]
