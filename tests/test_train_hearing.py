"""What the speech model learns from: which texts, in which voices."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest

from voicedraft.errors import ModelError
from voicedraft.hear.repair.sound import fold
from voicedraft.hear.tuned import Change, Tuned
from voicedraft.lexicon import load_lexicon
from voicedraft.train import BY_ITSELF, FITTED_ON, gold_files
from voicedraft.train.hearing import dice, texts, voices
from voicedraft.train.hearing.mean import mean


@pytest.fixture(scope="module")
def golds() -> list[dict[str, Any]]:
    return [json.loads(p.read_text(encoding="utf-8")) for p in gold_files("hearing")[:20]]


def test_no_session_of_the_figures_is_spoken_to_the_model() -> None:
    """What is heard in the benchmarks must be new to it, and so must what is held back."""
    assert {p.parent.name for p in gold_files("hearing")} == {"own", "short", "marks", "mended_on"}
    assert "hearing" in FITTED_ON
    assert "hearing" not in BY_ITSELF


def test_every_sentence_is_in_one_run_that_fits_a_window(golds: list[dict[str, Any]]) -> None:
    """A run longer than MOST_WORDS is a single sentence."""
    for gold in golds:
        said = [str(s["t"]).replace("’", "'").strip() for t in gold["takes"] for s in t["sentences"]]
        found = list(texts.runs(gold))
        assert [t for run in found for t in run] == said
        assert all(len(run) == 1 or sum(len(t.split()) for t in run) <= texts.MOST_WORDS for run in found)


def test_every_rare_flavour_is_said_and_a_third_is_ordinary(golds: list[dict[str, Any]]) -> None:
    """A name that no session says is taught; ordinary speech keeps the model from hearing the trade everywhere."""
    lexicon = load_lexicon()
    rare = texts.rare_names(lexicon, golds)
    assert "langka" in rare
    assert "cedar" not in rare
    material = texts.material(golds, lexicon, dice(1))
    said = " ".join(fold(t) for kind, run in material if kind == "lex" for t in run)
    assert [n for n in rare if fold(n) not in said] == []
    words = {kind: len([w for k, run in material if k == kind for t in run for w in t.split()])
             for kind in ("trade", "lex", "ord")}
    assert 0.3 <= words["ord"] / sum(words.values()) <= 0.45


def test_ordinary_speech_has_the_sound_alikes_and_never_a_cigar() -> None:
    """Written by hand; "hey", "drawer" and "rapper" in their own meaning."""
    kept = texts.ORDINARY.with_name("kept.txt").read_text(encoding="utf-8").lower()
    assert not set(kept.splitlines()) & set(texts.ORDINARY.read_text(encoding="utf-8").lower().splitlines())
    lines = texts.ORDINARY.read_text(encoding="utf-8").lower() + kept
    assert len(lines.splitlines()) == 900
    assert all(f" {w}" in lines or f"{w}," in lines for w in ("hey", "drawer", "rapper", "lather", "coco", "chart"))
    assert not any(w in lines for w in ("cigar", "tobacco", "humidor", "robusto"))


def test_no_voice_of_the_figures_speaks_to_the_model() -> None:
    """The figures have espeak-ng plain, flite, piper joe, and hibari's voice, which is a copy of af_heart."""
    spoken = voices.jobs([("trade", ["Hay."])] * 400, True, dice(2))
    used = {name for job in spoken for name in ([job.voice], job.voice.partition(":")[0].split("+"))[
        job.engine == "kokoro"]}
    assert {job.engine for job in spoken} == {"espeak", "festival", "pico", "kokoro"}
    assert not used & {"en-gb", "en-us", "rms", "slt", "awb", "joe", "heart", "af_heart", "cmu_us_slt_arctic_hts"}
    assert all("+" in job.voice for job in spoken if job.engine == "espeak")
    assert not used & set(voices.KEPT_SPEAKERS)
    assert any("+" in job.voice for job in spoken if job.engine == "kokoro")
    assert "kokoro" not in {job.engine for job in voices.jobs([("ord", ["Hey."])] * 50, False, dice(2))}


def test_every_fourteenth_session_is_kept_for_trying() -> None:
    """Some of each folder, and none twice."""
    files = gold_files("hearing")
    left = texts.kept(files)
    assert len(left) == len(range(5, len(files), 14))
    assert {p.parent.name for p in left} == {"own", "short", "marks", "mended_on"}


def test_the_mean_of_two_fits_is_half_of_each() -> None:
    """Computed here with whole matrices; a matrix that only one fit changes keeps half of that change."""
    draw = np.random.default_rng(1)
    a, b, c = (Change(at, draw.normal(size=(6, 2)).astype(np.float32), draw.normal(size=(2, 5)).astype(np.float32))
               for at in (8, 8, 64))
    found = {x.at: x.up @ x.down for x in mean([Tuned("m", (a,)), Tuned("m", (b, c))], 4).changes}
    assert np.allclose(found[8], (a.up @ a.down + b.up @ b.down) / 2, atol=1e-5)
    assert np.allclose(found[64], c.up @ c.down / 2, atol=1e-5)
    best = mean([Tuned("m", (a,)), Tuned("m", (b,))], 1).changes[0]
    assert best.up.shape == (6, 1)
    left = np.linalg.svd(found[8])[1]
    assert np.isclose(np.linalg.norm(found[8] - best.up @ best.down), np.sqrt((left[1:] ** 2).sum()), rtol=1e-4)
    with pytest.raises(ModelError, match="different speech models"):
        mean([Tuned("m", ()), Tuned("n", ())], 4)
