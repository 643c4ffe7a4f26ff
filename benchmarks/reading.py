"""How long reading takes with Python set up as for a command: 1,500 words warm, then its steps one after another
(grammar and vectors are made side by side in a real reading), and a cold `voicedraft draft` of a transcript against
importing spaCy and loading its pipeline. Each pair is measured side by side in this one run; medians are printed.

    python benchmarks/reading.py [GOLD.json]
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from voicedraft.cli import set_up
from voicedraft.evaluate.gold import load
from voicedraft.evaluate.gold_vtt import heard, to_vtt
from voicedraft.lexicon import load_lexicon
from voicedraft.read import STEPS, Weights, read
from voicedraft.read.analysis import encoder, language
from voicedraft.read.sentences import split
from voicedraft.types import Reading, Transcript

_BEFORE = dict(os.environ)
WORDS, ROUNDS, COLD_ROUNDS = 1500, 7, 3
SPACY = "import spacy; from voicedraft.models import model_path; spacy.load(model_path('en-core-web-sm'))"


def cut(transcript: Transcript, words: int) -> Transcript:
    """The first `words` words."""
    kept = transcript.words[:words]
    return replace(transcript, words=kept, takes=transcript.takes[: kept[-1].take])


def by_step(transcript: Transcript) -> dict[str, float]:
    """Seconds of each step of one reading."""
    from voicedraft.read.analysis import Analysis

    lexicon, weights, spent = load_lexicon(), Weights(), {}
    start = time.perf_counter()
    sentences = split(transcript)
    texts = [s.text for s in sentences]
    spent["sentences"] = time.perf_counter() - start
    start = time.perf_counter()
    docs = tuple(language().pipe(texts, batch_size=64))
    spent["grammar (spaCy)"] = time.perf_counter() - start
    start = time.perf_counter()
    encoded = tuple(encoder().encode(texts))
    spent["vectors"] = time.perf_counter() - start
    analysis = Analysis(transcript, sentences, docs, encoded)
    reading = Reading(transcript=transcript, passages=())
    for name, step in STEPS:
        start = time.perf_counter()
        reading = step(analysis, reading, lexicon, weights)
        spent[name] = time.perf_counter() - start
    return spent


def main() -> None:
    """Prints both measurements."""
    set_up()
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else Path("tests/gold/sessions/s31.json")
    gold = load(path)
    transcript = cut(heard(gold, "sentences"), WORDS)
    read(transcript)
    rounds, wholes = [], []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        read(transcript)
        wholes.append(time.perf_counter() - start)
        rounds.append(by_step(transcript))
    print(f"{len(transcript.words)} words read warm: {1000 * statistics.median(wholes):.0f} ms (median of {ROUNDS})")
    whole = statistics.median(sum(r.values()) for r in rounds)
    print(f"its steps one after another: {1000 * whole:.0f} ms")
    for name in rounds[0]:
        part = statistics.median(r[name] for r in rounds)
        print(f"  {name:18s} {1000 * part:6.1f} ms  {part / whole:5.1%}")
    cold(to_vtt(gold, "sentences"))


def cold(vtt: str) -> None:
    """A whole process each: loading spaCy, and a draft; in turn."""
    with tempfile.TemporaryDirectory() as folder:
        source = Path(folder) / "session.vtt"
        source.write_text(vtt, encoding="utf-8")
        draft = [sys.executable, "-m", "voicedraft", "draft", str(source), "--output", folder + "/draft", "--quiet"]
        ratios = []
        for _ in range(COLD_ROUNDS + 1):
            base, ours = timed([sys.executable, "-c", SPACY]), timed(draft)
            ratios.append((ours / base, base, ours))
        ratio, base, ours = sorted(ratios[1:])[COLD_ROUNDS // 2]
    print(f"cold draft of a transcript: {ours:.2f} s; importing spaCy and loading its pipeline: {base:.2f} s; "
          f"ratio {ratio:.2f}")


def timed(command: list[str]) -> float:
    """Wall seconds of a command, which must succeed. It sets itself up: what this process set is not handed on."""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=_BEFORE)
    return time.perf_counter() - start


if __name__ == "__main__":
    main()
