"""How fast and how right the hear room is, against plain faster-whisper with the same model in the same run.

    python -m benchmarks.hearing [--demo] [--silence] [--share 0.3] [--sessions s20:joe s27:en-gb s01:slt] [--noise 10]
        [--untaught]

Plain is faster-whisper's sequential pipeline: beam 5, word times, voice activity detection, English, the same threads.
The counts of neighbouring words that our side uses are made without the session that is spoken.
Both sides are measured from the files to the words, the loading of the model included. Nothing is read from a cache.
The machine should be doing nothing else; CPU seconds are printed too, since they suffer less where it does.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchmarks.measure import Tally, take_text, time_errors
from benchmarks.voices import RATE, in_noise, spoken_session, write_flac
from voicedraft.evaluate.gold import load
from voicedraft.hear import HearOptions, hear
from voicedraft.hear.decode import stream
from voicedraft.hear.habit import save
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.models import model_path
from voicedraft.progress import SilentProgress
from voicedraft.train import gold_files
from voicedraft.train.habit import count

ROOT = Path(__file__).resolve().parent.parent
GOLD = ROOT / "tests/gold/sessions"
SESSIONS = ("s20:joe", "s27:en-gb", "s01:slt")


@dataclass(frozen=True, slots=True)
class Run:
    """One side's figures."""

    wall: float
    cpu: float
    wer: float
    recall: float
    missed: str


def timed(work: Callable[[], list[str]]) -> tuple[list[str], float, float]:
    """The texts, wall seconds and CPU seconds of one side."""
    wall, cpu = time.perf_counter(), time.process_time()
    texts = work()
    return texts, time.perf_counter() - wall, time.process_time() - cpu


def plain(paths: Sequence[Path], model: str, compute: str) -> list[str]:
    """Plain faster-whisper, take by take."""
    from faster_whisper import WhisperModel

    whisper = WhisperModel(str(model_path(model)), device="cpu", compute_type=compute,
                           cpu_threads=len(os.sched_getaffinity(0)))
    out = []
    for path in paths:
        segments, _ = whisper.transcribe(str(path), language="en", beam_size=5, word_timestamps=True, vad_filter=True)
        out.append("".join(s.text for s in segments))
    return out


def ours(
    paths: Sequence[Path], model: str, lexicon: Lexicon, habit: Path | None = None, taught: bool = True
) -> list[str]:
    """The hear room, with an empty cache."""
    with tempfile.TemporaryDirectory() as cache:
        options = HearOptions(model=model, device="cpu", cache=Path(cache), habit=habit, taught=taught)
        transcript = hear(paths, options, lexicon, SilentProgress())
    return [take_text(transcript, i + 1) for i in range(len(paths))]


def figures(texts: list[str], wall: float, cpu: float, said: Sequence[str], lexicon: Lexicon) -> Run:
    """One side's figures."""
    tally = Tally(lexicon)
    for a, b in zip(said, texts, strict=True):
        tally.add(a, b)
    return Run(wall, cpu, tally.wer, tally.recall, tally.worst(8))


def habit_without(session: str, folder: Path, lexicon: Lexicon) -> Path:
    """Counts of neighbouring words in which one session has no part."""
    file = folder / f"habit-without-{session}.xz"
    save(count([load(p) for p in gold_files("habit") if p.stem != session], lexicon), file)
    return file


def compare(
    name: str, takes: Sequence[tuple[Path, str]], model: str, compute: str, lexicon: Lexicon, habit: Path | None = None,
    taught: bool = True,
) -> None:
    """Plain and ours over the same takes, one after the other, printed side by side."""
    paths, said = [p for p, _ in takes], [t for _, t in takes]
    a = figures(*timed(lambda: plain(paths, model, compute)), said, lexicon)
    b = figures(*timed(lambda: ours(paths, model, lexicon, habit, taught)), said, lexicon)
    print(f"{name:22} speed ×{a.wall / b.wall:4.2f} (CPU ×{a.cpu / b.cpu:4.2f}; {a.wall:5.1f} → {b.wall:5.1f} s)   "
          f"WER {a.wer:.3f} → {b.wer:.3f}   trade words {a.recall:.3f} → {b.recall:.3f}   missed: {b.missed}",
          flush=True)


def noisy(takes: Sequence[tuple[Path, str]], decibel: float, folder: Path) -> list[tuple[Path, str]]:
    """The same takes in brown noise, written once."""
    out = []
    for i, (path, text) in enumerate(takes):
        target = folder / f"{path.stem}-brown{decibel:g}.flac"
        if not target.exists():
            write_flac(target, in_noise(np.concatenate(list(stream(path))), decibel, i))
        out.append((target, text))
    return out


def demo_takes() -> list[tuple[Path, str]]:
    """The demo's takes with what is said in them."""
    session = json.loads((ROOT / "demo_audio/session.json").read_text(encoding="utf-8"))
    times = json.loads((ROOT / "demo_audio/times.json").read_text(encoding="utf-8"))
    return [(ROOT / "demo_audio" / t["file"], " ".join(s["t"] for s in take["sentences"]))
            for t, take in zip(times["takes"], session["takes"], strict=True)]


def demo(model: str, compute: str, lexicon: Lexicon) -> None:
    """The demo: both sides, and word times against the voice's own."""
    compare("demo", demo_takes(), model, compute, lexicon)
    with tempfile.TemporaryDirectory() as cache:
        options = HearOptions(model=model, device="cpu", cache=Path(cache))
        transcript = hear([p for p, _ in demo_takes()], options, lexicon, SilentProgress())
    errors = np.abs(time_errors(transcript, ROOT / "demo_audio/times.json"))
    print(f"word times against forced truth: {len(errors)} words, median {np.median(errors) * 1000:.0f} ms, "
          f"nine in ten within {np.quantile(errors, 0.9) * 1000:.0f} ms")


def silence(takes: Sequence[tuple[Path, str]], folder: Path, model: str) -> None:
    """Twelve minutes of talk alone, then spread over two hours: time, and the most memory held."""
    talk = np.concatenate([np.concatenate(list(stream(p))) for p, _ in takes])
    talk = np.tile(talk, int(np.ceil(720 * RATE / len(talk))))[: 720 * RATE]
    draw = np.random.default_rng(5)
    alone, spread = folder / "talk.flac", folder / "two-hours.flac"
    write_flac(alone, talk)
    parts = []
    for piece in np.array_split(talk, 12):
        parts += [(draw.standard_normal(540 * RATE) * 0.0006).astype(np.float32), piece]
    write_flac(spread, np.concatenate(parts))
    rows = [json.loads(subprocess.run([sys.executable, "-m", "benchmarks.hearing", "--one", str(p), "--model", model],
                                      check=True, capture_output=True, text=True, cwd=ROOT).stdout)
            for p in (alone, spread)]
    print(f"12 minutes of talk: {rows[0]['wall']:.1f} s (CPU {rows[0]['cpu']:.1f}); spread over 2 hours: "
          f"{rows[1]['wall']:.1f} s (CPU {rows[1]['cpu']:.1f}); ×{rows[1]['wall'] / rows[0]['wall']:.2f} "
          f"(CPU ×{rows[1]['cpu'] / rows[0]['cpu']:.2f}); most memory {rows[1]['mb']:.0f} MB")


def one(path: Path, model: str) -> None:
    """Hear one file in a process of its own; prints its time and memory as JSON."""
    lexicon = load_lexicon()
    wall, cpu = time.perf_counter(), time.process_time()
    ours([path], model, lexicon)
    row = {"wall": time.perf_counter() - wall, "cpu": time.process_time() - cpu, "mb": most_memory()}
    print(json.dumps(row))


def most_memory() -> float:
    """The most memory this process ever held, in MB. Linux's own VmHWM: getrusage's figure is inherited over fork."""
    status = Path("/proc/self/status").read_text(encoding="utf-8")
    return int(next(line for line in status.splitlines() if line.startswith("VmHWM")).split()[1]) / 1024


def main() -> None:
    """Read the options, make the sound, print the figures."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--model", default="base")
    parser.add_argument("--compute", default="default", help="number format of the plain side")
    parser.add_argument("--share", type=float, default=0.3, help="how much of each take is spoken")
    parser.add_argument("--sessions", nargs="*", default=SESSIONS, metavar="SESSION:VOICE")
    parser.add_argument("--noise", type=float, default=10.0, metavar="DB")
    parser.add_argument("--demo", action="store_true")
    parser.add_argument("--silence", action="store_true")
    parser.add_argument("--untaught", action="store_true", help="ours without what base has learned of the trade")
    parser.add_argument("--sound", type=Path, default=None, help="folder in which the spoken takes are kept")
    parser.add_argument("--one", type=Path, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.one:
        one(given.one, given.model)
        return
    lexicon = load_lexicon()
    with tempfile.TemporaryDirectory() as work:
        folder = given.sound or Path(work)
        folder.mkdir(parents=True, exist_ok=True)
        print(f"{os.cpu_count()} processors, load {os.getloadavg()[0]:.1f}; plain → ours")
        if given.demo:
            demo(given.model, given.compute, lexicon)
        takes: list[tuple[Path, str]] = []
        for pair in given.sessions:
            name, _, voice = pair.partition(":")
            takes = spoken_session(GOLD / f"{name}.json", voice, given.share, folder)
            habit = habit_without(name, folder, lexicon)
            how = (given.model, given.compute, lexicon, habit, not given.untaught)
            compare(f"{pair} clean", takes, *how)
            garden = noisy(takes, given.noise, folder)
            compare(f"{pair} {given.noise:g} dB", garden, *how)
        if given.silence:
            silence(takes or demo_takes(), folder, given.model)


if __name__ == "__main__":
    main()
