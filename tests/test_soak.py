"""Longer tries, run by `make soak`: hundreds of kills, thousands of random transcripts. VOICEDRAFT_SOAK scales them."""

from __future__ import annotations

import json
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.conftest import GOLD, ROOT
from voicedraft.draft.compose import compose
from voicedraft.draft.document import Review
from voicedraft.draft.render import markdown, page, transcript
from voicedraft.draft.vtt import stamp
from voicedraft.evaluate.gold_vtt import heard
from voicedraft.hear.timed_text import parse_timed_text
from voicedraft.read import read

SCALE = float(os.environ.get("VOICEDRAFT_SOAK", "1"))
pytestmark = pytest.mark.soak

ODD = [
    "—", "…", "½", "£", "6x52", "sixty-", "fifty-two.", "no,", "and", "a", "٣", "🙂", "'", "&", "<b>", "%", "0",
    "1,000,000.50", "hundred", "point", "by", "out", "of", "ten", "dollars", "relight", "cedar", "not", "gone,",
]


def _random_vtt(rng: random.Random, words: list[str]) -> str:
    """A transcript of shuffled, cut and odd words with random times and gaps."""
    now, cues = 0.0, []
    for _ in range(rng.randint(1, 60)):
        chosen = [rng.choice(words) if rng.random() < 0.8 else rng.choice(ODD) for _ in range(rng.randint(1, 25))]
        text = " ".join(w for w in chosen if w).replace("-->", "")
        length = rng.choice((0.0, 0.5, 4.0, 30.0))
        cues.append(f"{stamp(now)} --> {stamp(now + length)}\n{text or 'er'}\n")
        now += length + rng.choice((0.0, 0.3, 25.0, 900.0))
    return "WEBVTT\n\n" + "\n".join(cues)


def test_thousands_of_random_transcripts_are_read_without_an_error_or_an_invented_word() -> None:
    """Whatever is said in whatever order: every word is covered once, and each flavour's words were said."""
    words = [w for p in GOLD for t in json.loads(p.read_text(encoding="utf-8"))["takes"]
             for s in t["sentences"] for w in s["t"].split()]
    for seed in range(int(2000 * SCALE)):
        spoken = parse_timed_text(_random_vtt(random.Random(seed), words), "random.vtt")
        review = compose(read(spoken))
        assert [w for p in review.passages for w in p.text.split()] == [w.text for w in spoken.words], seed
        for render in (markdown, page, transcript):
            assert render(review)
        assert Review.model_validate_json(review.model_dump_json()) == review, seed


def test_a_long_session_is_read_whole() -> None:
    """Twenty sessions said one after the other: 40,000 words and more."""
    golds = [json.loads(p.read_text(encoding="utf-8")) for p in GOLD]
    joined = {"id": "long", "takes": [t | {"minutes_since_light": None} for g in golds for t in g["takes"]]}
    spoken = heard(joined, "cues")
    reading = read(spoken)
    assert len(spoken.words) > 35_000
    assert reading.passages[-1].last == len(spoken.words)
    assert [p.first for p in reading.passages[1:]] == [p.last for p in reading.passages[:-1]]


def test_hundreds_of_kills_leave_no_half_written_draft_and_lose_no_finished_work(tmp_path: Path) -> None:
    """kill -9 at random moments of `voicedraft draft`: the output is absent or whole, and the last run gives the same
    words as a run that nobody killed."""
    take = next((ROOT / "demo_audio").glob("take-03*.opus"))
    env = {**os.environ, "VOICEDRAFT_CACHE": str(tmp_path / "cache")}
    command = [sys.executable, "-m", "voicedraft", "draft", str(take), "--model", "tiny.en", "--quiet", "--output"]
    rng = random.Random(7)
    for n in range(int(200 * SCALE)):
        out = tmp_path / "draft"
        run = subprocess.Popen([*command, str(out)], env=env, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(rng.uniform(0.1, 8.0))
        run.send_signal(signal.SIGKILL)
        run.wait()
        for path in out.glob("*.json") if out.exists() else ():
            json.loads(path.read_text(encoding="utf-8"))
        assert not (tmp_path / "draft" / "review.json").exists() or Review.model_validate_json(
            (out / "review.json").read_text(encoding="utf-8")
        ), n
    subprocess.run([*command, str(tmp_path / "draft")], env=env, check=True)
    clean = {**env, "VOICEDRAFT_CACHE": str(tmp_path / "clean")}
    subprocess.run([*command, str(tmp_path / "other")], env=clean, check=True)
    said = [[p["text"] for p in json.loads((tmp_path / d / "review.json").read_text(encoding="utf-8"))["passages"]]
            for d in ("draft", "other")]
    assert said[0] == said[1]
