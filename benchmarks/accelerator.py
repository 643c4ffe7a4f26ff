"""The hear room on a GPU and on the processor, against plain faster-whisper, over the demo, in one run.

    python -m benchmarks.accelerator [--model base] [--rounds 2] [--keep FOLDER] [--sides ours-cpu plain-cpu-float32]

Each side runs in a process of its own, from the files to the words, the loading of the model included. Its first round
is a cold start (CUDA's own start with it); the best of the later ones is warm. Nothing is read from a cache.
Plain is faster-whisper's sequential pipeline: beam 5, word times, voice activity detection, English.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from importlib.metadata import version
from pathlib import Path

from benchmarks.hearing import ROOT, demo_takes
from benchmarks.measure import Tally, take_text, time_errors
from voicedraft.hear import HearOptions, hear, transcribe
from voicedraft.hear.repair.unknown import known_words
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.models import model_path
from voicedraft.progress import SilentProgress
from voicedraft.types import Transcript

SIDES = ("ours-cuda-float16", "plain-cuda-float16", "ours-cuda-int8_float16", "ours-cuda-float16-by1",
         "ours-cuda-float16-by16", "ours-cpu")
"""WHO-DEVICE-FORMAT; "by16" decodes sixteen windows together in place of the usual number. Each side has LIMIT_S."""
LIMIT_S = 90


class Told(SilentProgress):
    """Keeps what the hear room says: a fallback must not go unseen in a benchmark."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def say(self, message: str) -> None:
        self.said.append(message)


def plain(model: str, device: str, compute: str) -> list[str]:
    """The demo's takes by plain faster-whisper, on every core the process may use."""
    from faster_whisper import WhisperModel

    whisper = WhisperModel(str(model_path(model)), device=device, compute_type=compute,
                           cpu_threads=len(os.sched_getaffinity(0)))
    out = []
    for path, _ in demo_takes():
        segments, _ = whisper.transcribe(str(path), language="en", beam_size=5, word_timestamps=True, vad_filter=True)
        out.append("".join(s.text for s in segments))
    return out


def ours(model: str, device: str, compute: str, lexicon: Lexicon, progress: Told) -> Transcript:
    """The demo's takes by the hear room with an empty cache."""
    with tempfile.TemporaryDirectory() as cache:
        options = HearOptions(model=model, device=device, compute=compute, cache=Path(cache))
        return hear([p for p, _ in demo_takes()], options, lexicon, progress)


def side(name: str, model: str, rounds: int) -> None:
    """One side in this process; prints its figures as JSON."""
    who, device, compute, *more = (*name.split("-"), "", "")
    if more[0].startswith("by"):
        transcribe.TOGETHER["cuda"] = int(more[0][2:])
    lexicon, progress, seconds, texts, errors = load_lexicon(), Told(), [], [""], [0.0]
    for _ in range(rounds):
        begin = time.perf_counter()
        if who == "plain":
            texts, errors = plain(model, device, compute), []
            seconds.append(time.perf_counter() - begin)
            continue
        transcript = ours(model, device, compute, lexicon, progress)
        seconds.append(time.perf_counter() - begin)
        texts = [take_text(transcript, t.number) for t in transcript.takes]
        errors = sorted(abs(float(e)) for e in time_errors(transcript, ROOT / "demo_audio/times.json"))
    print(json.dumps({"side": name, "seconds": seconds, "texts": texts, "errors": errors, "said": progress.said}))


def card() -> str:
    """The GPU's own name and driver, or that there is none."""
    query = ["nvidia-smi", "--query-gpu=name,driver_version", "--format=csv,noheader"]
    try:
        return subprocess.run(query, capture_output=True, text=True, check=True).stdout.strip()
    except (OSError, subprocess.CalledProcessError):
        return "no GPU"


def row(figures: dict[str, list[float]], texts: list[str], length: float) -> str:
    """One line of the table."""
    tally = Tally(load_lexicon())
    for (_, said), heard in zip(demo_takes(), texts, strict=True):
        tally.add(said, heard)
    seconds, errors = figures["seconds"], figures["errors"]
    warm = min(seconds[1:] or seconds)
    times = f"{errors[len(errors) // 2] * 1000:.0f} ms" if errors else "-"
    return f"{seconds[0]:.1f} | {warm:.1f} | {length / warm:.0f}× | {tally.wer:.3f} | {tally.recall:.3f} | {times} |"


def main() -> None:
    """Every side in its own process, then a line of the table each; the raw figures go to --keep."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--model", default="base")
    parser.add_argument("--rounds", type=int, default=2, help="hearings of each side on a GPU; the processor has one")
    parser.add_argument("--sides", nargs="*", default=SIDES, metavar="SIDE")
    parser.add_argument("--keep", type=Path, help="folder for each side's own words and seconds")
    parser.add_argument("--side", help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.side:
        side(given.side, given.model, given.rounds)
        return
    model_path(given.model), known_words()  # What a side would miss after minutes of work is missed now.
    if given.keep:
        given.keep.mkdir(parents=True, exist_ok=True)
    times = json.loads((ROOT / "demo_audio/times.json").read_text(encoding="utf-8"))
    length = sum(t["seconds"] for t in times["takes"])
    names = ("ctranslate2", "faster-whisper", "onnxruntime", "numpy", "av")
    print(f"{card()}; {len(os.sched_getaffinity(0))} processors; Python {sys.version.split()[0]}; "
          + ", ".join(f"{n} {version(n)}" for n in names), flush=True)
    print(f"{length:.0f} s of sound\n| side | cold s | warm s | × the sound | WER | trade words | word times |\n"
          "|---|---|---|---|---|---|---|", flush=True)
    for name in given.sides:
        rounds = given.rounds if "cuda" in name else 1
        command = [sys.executable, "-m", "benchmarks.accelerator", "--side", name, "--model", given.model,
                   "--rounds", str(rounds)]
        try:
            done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, timeout=LIMIT_S)
        except subprocess.TimeoutExpired:
            print(f"| {name} | not done in {LIMIT_S} s |", flush=True)
            continue
        if done.returncode:
            print(f"| {name} | failed: {done.stderr.strip()[-600:]}", flush=True)
            continue
        if given.keep:
            (given.keep / f"{name}.json").write_text(done.stdout, encoding="utf-8")
        figures = json.loads(done.stdout)
        print(f"| {name} | {row(figures, figures['texts'], length)} {'; '.join(figures['said'])}", flush=True)


if __name__ == "__main__":
    main()
