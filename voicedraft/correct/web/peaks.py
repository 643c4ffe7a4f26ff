"""The waveform of a recording: the loudest sample of each short stretch, streamed and kept in the cache by digest."""

from __future__ import annotations

import contextlib
import json
import threading
from pathlib import Path

import av
import numpy as np

from voicedraft.draft.write import write_text
from voicedraft.errors import InputError, OutputError
from voicedraft.paths import cache_folder

RATE = 8000
"""Samples a second: enough for an outline, quick to decode."""
STEP_S = 0.25
"""Seconds an outline point; a two-hour take has 28,800, more than any screen has dots."""
TOP = 100
"""The loudest an outline point can be; points are whole numbers."""

_one_at_a_time = threading.Lock()


def peaks(path: Path, digest: str) -> list[int]:
    """Outline of a recording, 0 to `TOP`, one point each `STEP_S`; scaled so that the loudest point is `TOP`.

    Raises InputError where the file holds no sound that can be decoded.
    """
    kept = cache_folder() / "peaks" / f"{digest}.json"
    try:
        return [int(x) for x in json.loads(kept.read_text(encoding="utf-8"))]
    except (OSError, ValueError, TypeError):
        pass
    with _one_at_a_time:
        outline = _outline(path)
    with contextlib.suppress(OutputError):
        write_text(kept, json.dumps(outline, separators=(",", ":")))
    return outline


def _outline(path: Path) -> list[int]:
    step = int(RATE * STEP_S)
    loudest: list[float] = []
    rest = np.empty(0, np.float32)
    try:
        with av.open(str(path)) as container:
            resampler = av.AudioResampler(format="flt", layout="mono", rate=RATE)
            stream = container.streams.audio[0]
            for frame in container.decode(stream):
                for part in resampler.resample(frame):
                    rest = np.concatenate([rest, np.abs(part.to_ndarray().reshape(-1))])
                whole = len(rest) // step * step
                if whole:
                    loudest += rest[:whole].reshape(-1, step).max(axis=1).tolist()
                    rest = rest[whole:]
    except (OSError, IndexError, ValueError, av.error.FFmpegError) as error:
        raise InputError(f"{path.name} cannot be decoded ({error}). The page shows it without its outline.") from error
    if len(rest):
        loudest.append(float(rest.max()))
    top = max(loudest, default=0.0) or 1.0
    return [round(TOP * x / top) for x in loudest]
