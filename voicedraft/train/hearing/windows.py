"""Windows that the decoder learns from: spoken sentences laid end to end as the program packs them, in a garden or a
room, each with the text that is wanted and the words that the model is told before.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import av
import numpy as np
import torch

from voicedraft.train.hearing import RATE, dice

LONGEST_S, LEAST_S, BEYOND_S = 29.0, 15.0, 3.0
"""A window's most seconds; how long it is made at least, and what is left after it (`hear/recognise.py`)."""
PAUSE_S = (0.15, 1.0)
SIZE = 1 << 19
"""Samples of every Fourier transform, more than the longest window has: an accelerator plans one size once."""
Row = tuple[str, torch.Tensor, str]


@dataclass(frozen=True)
class Spoken:
    """Consecutive sentences by one voice. `kind`: trade, lex (names of the lexicon in sentences) or ord (ordinary)."""

    kind: str
    texts: tuple[str, ...]
    sounds: tuple[torch.Tensor, ...]
    """int16 samples of each sentence at RATE."""


@dataclass(frozen=True)
class Window:
    """`sound`: float samples, -1 to 1. `text`: what is said; "" where nobody speaks. `told`: the prompt, or ""."""

    kind: str
    sound: torch.Tensor
    text: str
    told: str


def load(folder: Path, device: str) -> list[Spoken]:
    """All that `voices.py` spoke into a folder, by name."""
    rows = [json.loads(line) for file in sorted(folder.glob("index-*.jsonl"))
            for line in file.read_text(encoding="utf-8").splitlines()]
    out = []
    for row in sorted(rows, key=lambda r: str(r["id"])):
        samples = torch.tensor(_samples(folder / f"{row['id']}.flac"), device=device)
        out.append(Spoken(row["part"], tuple(map(written_as, row["s"])), tuple(samples[a:z] for a, z in row["at"])))
    return out


def _samples(file: Path) -> np.ndarray:
    tool = av.AudioResampler(format="s16", layout="mono", rate=RATE)
    with av.open(str(file)) as container:
        blocks = [b.to_ndarray().reshape(-1) for f in container.decode(audio=0) for b in tool.resample(f)]
    return np.concatenate([*blocks, *(b.to_ndarray().reshape(-1) for b in tool.resample(None))])


def written_as(text: str) -> str:
    """The text without the signs that the program keeps Whisper from writing (its non-speech pieces)."""
    text = re.sub(r"[\"()\[\]{}*_#<>=+/\\|~^@`“”]", " ", text).replace(";", ",").replace(":", ",")
    return re.sub(r"\s+", " ", re.sub(r"\s-+\s", ", ", text.replace("’", "'"))).strip()


class Told:
    """Draws the prompts: the lists by place in the session, or names that sound like nothing or something said."""

    def __init__(
        self, hearing: Mapping[str, Any], names: Sequence[str], prompt: Callable[[Sequence[str]], str]
    ) -> None:
        self._lists, self._names, self._prompt = hearing, list(names), prompt
        self._by_start: dict[str, list[str]] = {}
        for name in self._names:
            self._by_start.setdefault(name[:2].lower(), []).append(name)

    def __call__(self, draw: Random, text: str) -> str:
        if draw.random() < 0.4:
            return ""
        first = [*self._lists["always"], *self._lists[draw.choice(("early", "middle", "late"))]]
        words = self._alike(draw, text) if draw.random() < 0.5 else []
        held = {w.lower() for w in words}
        most = 40 if words else 50
        for word in first:
            if word.lower() not in held and sum(len(w.split()) for w in words) + len(word.split()) <= most:
                words.append(word)
        return self._prompt(words)

    def _alike(self, draw: Random, text: str) -> list[str]:
        """Up to 24 names: half of those that are said, and others that begin like words that are."""
        low = f" {text.lower()} "
        said = [w for w in re.findall(r"[a-zé]+", low) if len(w) > 3]
        true = [n for n in {p for w in said for p in self._by_start.get(w[:2], ())} if f" {n.lower()}" in low]
        out = [n for n in sorted(true) if draw.random() < 0.5]
        while len(out) < 24:
            near = said and draw.random() < 0.8
            out.append(draw.choice(self._by_start.get(draw.choice(said)[:2], self._names) if near else self._names))
        out = list(dict.fromkeys(out))[:24]
        draw.shuffle(out)
        return out


def windows(spoken: Sequence[Spoken], told: Told, draw: Random, silent: float) -> Iterator[Window]:
    """Windows over all that was spoken, in an order of their own: runs of sentences, long and short. silent: windows
    without speech for each window with speech."""
    runs = [w for group in spoken for w in _runs(group, draw)]
    draw.shuffle(runs)
    for kind, sound, text in runs:
        yield Window(kind, sound, text, told(draw, text))
        if draw.random() < silent:
            count = int(draw.uniform(1.0, LONGEST_S) * RATE)
            yield Window("none", torch.zeros(count, device=sound.device), "", told(draw, ""))


def _runs(group: Spoken, draw: Random) -> Iterator[Row]:
    """The group cut into one to three runs; each sentence is in one of them."""
    at = 0
    while at < len(group.texts):
        most = draw.choice((1, 2, 4, 9, 9))
        parts, size = [_pause(draw, group.sounds[0])], 0.0
        texts: list[str] = []
        while at < len(group.texts) and len(texts) < most:
            sound = group.sounds[at].float() / 32768
            if texts and size + len(sound) / RATE + 1.0 > LONGEST_S:
                break
            parts += [sound, _pause(draw, sound)]
            texts.append(group.texts[at])
            size = sum(len(p) for p in parts) / RATE
            at += 1
        yield group.kind, torch.cat(parts)[: int(30 * RATE)], " ".join(texts)


def _pause(draw: Random, like: torch.Tensor) -> torch.Tensor:
    return torch.zeros(int(draw.uniform(*PAUSE_S) * RATE), device=like.device)


class Room:
    """Sets a clean window into a place: loudness, reverberation, another microphone, noise of a garden."""

    def __init__(self, device: str, seed: int) -> None:
        self._device = device
        self._draw = dice(seed)
        self._random = torch.Generator(device).manual_seed(seed)

    def __call__(self, sound: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        """The sound in its place, and as it was said, equally long; the same twice where nobody speaks."""
        draw, speech = self._draw, bool(sound.abs().max() > 0)
        if speech and draw.random() < 0.6:
            sound = self._faster(sound, draw.uniform(0.88, 1.12))
        said = sound
        if speech and draw.random() < 0.3:
            sound = self._echoed(sound, draw.uniform(0.1, 0.45))
        if draw.random() < 0.2:
            sound = self._dull(sound, draw.uniform(2800, 7000))
        if speech and draw.random() < 0.4:
            sound = self._coloured(sound)
        loud = float(sound.pow(2).mean().sqrt()) if speech else 10 ** draw.uniform(-3.5, -1.2)
        noise = self._noise(len(sound)) * loud
        level = draw.uniform(4, 32) if draw.random() < 0.65 else 45.0
        sound = sound + noise * (10 ** (-level / 20) if speech else 1.0)
        if not speech:
            return sound, sound
        return sound * (10 ** draw.uniform(-1.0, 0.0) / max(1e-4, float(sound.abs().max()))), said

    def _faster(self, sound: torch.Tensor, by: float) -> torch.Tensor:
        count = int(len(sound) / by)
        at = torch.arange(count, device=sound.device) * by
        low = at.long().clamp(max=len(sound) - 2)
        return torch.lerp(sound[low], sound[low + 1], (at - low).clamp(0, 1))

    def _echoed(self, sound: torch.Tensor, seconds: float) -> torch.Tensor:
        count = int(seconds * RATE)
        fall = torch.exp(-6.9 * torch.arange(count, device=sound.device) / count)
        heard = torch.randn(count, generator=self._random, device=sound.device) * fall
        heard = heard / heard.norm() * self._draw.uniform(0.2, 0.7)
        heard[0] += 1.0
        return torch.fft.irfft(torch.fft.rfft(sound, SIZE) * torch.fft.rfft(heard, SIZE), SIZE)[: len(sound)]

    def _dull(self, sound: torch.Tensor, pitch: float) -> torch.Tensor:
        bands = torch.fft.rfft(sound, SIZE)
        at = torch.fft.rfftfreq(SIZE, 1 / RATE, device=sound.device)
        return torch.fft.irfft(bands / (1 + (at / pitch) ** 8).sqrt(), SIZE)[: len(sound)]

    def _coloured(self, sound: torch.Tensor) -> torch.Tensor:
        """Up to 8 dB more or less at four pitches and what lies between, as microphones and voices differ."""
        bands = torch.fft.rfft(sound, SIZE)
        gain = torch.tensor([self._draw.uniform(-8, 8) for _ in range(4)], device=sound.device)
        at = torch.nn.functional.interpolate(gain[None, None], size=bands.shape[-1], mode="linear")[0, 0]
        return torch.fft.irfft(bands * 10 ** (at / 20), SIZE)[: len(sound)]

    def _noise(self, count: int) -> torch.Tensor:
        """Deviation 1: a slope of 0 to 9 dB an octave, in gusts, sometimes with clicks or a hum."""
        draw = self._draw
        bands = torch.fft.rfft(torch.randn(SIZE, generator=self._random, device=self._device))
        at = torch.fft.rfftfreq(SIZE, 1 / RATE, device=self._device).clamp(min=20.0)
        noise = torch.fft.irfft(bands * at ** -draw.uniform(0.0, 1.5), SIZE)[:count]
        if draw.random() < 0.5:
            slow = torch.rand(max(2, count // RATE + 2), generator=self._random, device=self._device)
            gust = torch.nn.functional.interpolate(slow[None, None], size=count, mode="linear")[0, 0]
            noise = noise * (0.2 + gust)
        noise = noise / noise.std().clamp(min=1e-6)
        if draw.random() < 0.3:
            time = torch.arange(count, device=self._device) / RATE
            noise = noise + draw.uniform(0.2, 1.0) * torch.sin(2 * torch.pi * draw.uniform(50, 900) * time)
        if draw.random() < 0.3:
            for _ in range(draw.randrange(1, 8)):
                at_, size = draw.randrange(max(1, count - 2000)), draw.randrange(60, 1800)
                burst = torch.randn(size, generator=self._random, device=self._device)
                fall = torch.exp(-6 * torch.arange(size, device=self._device) / size) * draw.uniform(2, 8)
                end = min(count, at_ + size)
                noise[at_:end] += (burst * fall)[: end - at_]
        return noise / noise.std().clamp(min=1e-6)
