"""Recordings for the tests of the page: each word a beep of its own pitch, at the times of the tiny transcript."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt

from tests import correcting
from voicedraft.draft.document import Review
from voicedraft.draft.write import SOURCES, read_review, write_draft, write_text

RATE = 16_000
BLOCK = 320
CODECS = {".wav": ("pcm_s16le", "s16"), ".flac": ("flac", "s16"), ".opus": ("libopus", "s16")}


def _samples(review: Review, take: int) -> npt.NDArray[np.int16]:
    entry = next(t for t in review.takes if t.number == take)
    out = np.zeros(int((entry.end - entry.start + 0.5) * RATE), np.float64)
    words = [w for p in review.passages if p.take == take for w in p.words]
    for n, word in enumerate(words):
        first, last = int((word.start - entry.start) * RATE), int((word.end - entry.start) * RATE)
        pitch = 220.0 + 20.0 * (n % 20)
        out[first:last] = 0.5 * np.sin(2 * np.pi * pitch * np.arange(last - first) / RATE)
    samples: npt.NDArray[np.int16] = (out * 32767).astype(np.int16)
    return samples


def write_sound(path: Path, samples: npt.NDArray[np.int16]) -> None:
    """Writes samples as WAV, FLAC or Opus, by the path's suffix."""
    codec, kind = CODECS[path.suffix]
    with av.open(str(path), "w") as container:
        stream = container.add_stream(codec, rate=RATE, layout="mono")
        whole = np.pad(samples, (0, -len(samples) % BLOCK))
        for start in range(0, len(whole), BLOCK):
            frame = av.AudioFrame.from_ndarray(whole[start : start + BLOCK].reshape(1, -1), format=kind, layout="mono")
            frame.sample_rate, frame.pts = RATE, start
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


def drafted(directory: Path) -> Path:
    """A draft folder whose takes have their recordings."""
    folder = correcting.draft(directory / "draft")
    record(folder, (".opus", ".flac"))
    return folder


def record(directory: Path, suffixes: tuple[str, ...] = (".opus", ".flac")) -> list[Path]:
    """Gives the takes of a draft folder their recordings, beside the folder, and names them in sources.json."""
    review = read_review(directory / "review.json")
    folder = directory.parent / "takes"
    folder.mkdir(exist_ok=True)
    paths, rows = [], []
    for take, suffix in zip(review.takes, suffixes * len(review.takes), strict=False):
        path = folder / f"take-{take.number:02d}{suffix}"
        write_sound(path, _samples(review, take.number))
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        rows.append({"number": take.number, "path": str(path), "digest": digest})
        paths.append(path)
    write_text(directory / SOURCES, json.dumps({"takes": rows}))
    write_draft(review, directory)
    return paths
