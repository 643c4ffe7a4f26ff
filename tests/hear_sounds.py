"""Sounds for the hearing tests: real human sentences, and noises made from nothing."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt

RATE = 16_000
Samples = npt.NDArray[np.float32]

HUMAN = Path("/usr/share/pocketsphinx/test/data/librivox")
"""Five sentences of Sense and Sensibility read aloud (LibriVox), of Debian's package pocketsphinx-testdata."""


def human_sentences() -> list[tuple[Path, str]]:
    """(recording, what is said) of each human sentence. Raises FileNotFoundError saying which package to install."""
    listing = HUMAN / "transcription"
    if not listing.is_file():
        raise FileNotFoundError(f"{listing} is missing: apt-get install pocketsphinx-testdata")
    out = []
    for line in listing.read_text(encoding="utf-8").splitlines():
        words, _, name = line.rpartition("(")
        out.append((HUMAN / f"{name.strip().rstrip(')')}.wav", words.replace("<s>", "").replace("</s>", "").strip()))
    return out


def samples_of(path: Path) -> Samples:
    """The samples of a 16 kHz recording."""
    with av.open(str(path)) as container:
        blocks = [f.to_ndarray().reshape(-1) for f in container.decode(audio=0)]
    whole = np.concatenate(blocks)
    return (whole / 32768).astype(np.float32) if whole.dtype == np.int16 else whole.astype(np.float32)


def write_sound(path: Path, samples: Samples, tags: Mapping[str, str] | None = None, codec: str = "") -> Path:
    """Write mono samples at RATE; the codec follows the ending unless given."""
    codec = codec or {".wav": "pcm_s16le", ".flac": "flac", ".opus": "libopus", ".ogg": "libopus"}[path.suffix]
    with av.open(str(path), "w") as out:
        out.metadata.update(tags or {})
        stream = out.add_stream(codec, rate=RATE, layout="mono")
        whole = (np.clip(samples, -1, 1) * 32767).astype(np.int16)
        resampler = av.AudioResampler(format=stream.format.name, layout="mono", rate=RATE,
                                      frame_size=stream.frame_size or 960)
        frame = av.AudioFrame.from_ndarray(whole[None], format="s16", layout="mono")
        frame.sample_rate = RATE
        for part in [*resampler.resample(frame), *resampler.resample(None)]:
            out.mux(stream.encode(part))
        out.mux(stream.encode(None))
    return path


def silence(seconds: float) -> Samples:
    """Digital silence."""
    return np.zeros(int(seconds * RATE), np.float32)


def white_noise(seconds: float, level: float = 0.05, seed: int = 1) -> Samples:
    """Hiss."""
    return (np.random.default_rng(seed).standard_normal(int(seconds * RATE)) * level).astype(np.float32)


def brown_noise(seconds: float, level: float = 0.1, seed: int = 2) -> Samples:
    """Rumble, as of a garden: white noise summed, the slowest drift taken off."""
    steps = np.random.default_rng(seed).standard_normal(int(seconds * RATE))
    walk = np.cumsum(steps)
    window = RATE // 10
    walk = walk - np.convolve(walk, np.ones(window) / window, mode="same")
    return (walk / (np.std(walk) + 1e-9) * level).astype(np.float32)


def wind(seconds: float, seed: int = 3) -> Samples:
    """Brown noise that swells and falls in gusts."""
    t = np.arange(int(seconds * RATE)) / RATE
    gusts = 0.35 + 0.65 * np.maximum(0, np.sin(2 * np.pi * 0.23 * t) * np.sin(2 * np.pi * 0.07 * t + 1))
    return (brown_noise(seconds, 0.2, seed) * gusts).astype(np.float32)


def music(seconds: float) -> Samples:
    """A slow tune of chords with overtones and a beat."""
    t = np.arange(int(seconds * RATE)) / RATE
    out = np.zeros_like(t)
    chords = ((261.6, 329.6, 392.0), (220.0, 261.6, 329.6), (174.6, 220.0, 261.6), (196.0, 246.9, 293.7))
    for i in range(int(seconds / 0.5) + 1):
        here = (t >= i * 0.5) & (t < (i + 1) * 0.5)
        fade = np.exp(-(t[here] - i * 0.5) * 3)
        for note in chords[i // 4 % 4]:
            for overtone in (1, 2, 3):
                out[here] += fade * np.sin(2 * np.pi * note * overtone * t[here]) / overtone
    return (out / np.max(np.abs(out)) * 0.3).astype(np.float32)


def coughs(seconds: float, seed: int = 4) -> Samples:
    """Bursts of filtered noise with a sharp start, two in a row, every four seconds: like a cough."""
    rng = np.random.default_rng(seed)
    out = white_noise(seconds, 0.0005, seed)
    for begin in np.arange(1.0, seconds - 1.5, 4.0):
        for shift, length in ((0.0, 0.18), (0.32, 0.25)):
            n = int(length * RATE)
            burst = rng.standard_normal(n)
            burst = np.convolve(burst, np.hanning(12) / 6, mode="same") * np.exp(-np.linspace(0, 5, n))
            at = int((begin + shift) * RATE)
            out[at : at + n] += (burst * 0.5).astype(np.float32)
    return out
