"""Hearing whole recordings with the real models."""

from __future__ import annotations

import itertools
import json
import re
from pathlib import Path

import jiwer
import numpy as np
import pytest

from tests.hear_sounds import (
    Samples,
    brown_noise,
    coughs,
    human_sentences,
    music,
    samples_of,
    silence,
    white_noise,
    wind,
)
from tests.hear_sounds import write_sound as write
from voicedraft.errors import InputError, ModelError, SilentAudioError
from voicedraft.hear import HearOptions, hear, recognise, source_paths
from voicedraft.hear.recognise import Recogniser
from voicedraft.hear.speech_model import Device, find_speech_model
from voicedraft.hear.windows import Window
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.progress import SilentProgress
from voicedraft.types import Transcript

FAST = HearOptions(model="tiny.en", device="cpu")


def plain(text: str) -> str:
    return " ".join(re.sub(r"[^a-z' ]+", " ", text.lower().replace("-", " ").replace("mr.", "mister")).split())


class Watch(SilentProgress):
    """Counts what it is told."""

    def __init__(self) -> None:
        self.total = self.done = 0.0
        self.said: list[str] = []

    def begin(self, step: str, total: float) -> None:
        self.total, self.done = total, 0.0

    def advance(self, amount: float) -> None:
        self.done += amount

    def say(self, message: str) -> None:
        self.said.append(message)


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="session")
def session(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two takes of human sentences twenty minutes apart, the second in Opus."""
    folder = tmp_path_factory.mktemp("session")
    voices = [samples_of(p) for p, _ in human_sentences()]
    gap = white_noise(1.2, 0.0005)
    write(folder / "one.flac", np.concatenate([gap, voices[0], gap, voices[1], gap]),
          {"creation_time": "2026-03-14T20:00:00Z"})
    write(folder / "two.opus", np.concatenate([gap, voices[2], gap]), {"creation_time": "2026-03-14T20:20:00Z"})
    return folder


def test_human_speech_is_heard_with_at_most_one_word_in_twenty_wrong(lexicon: Lexicon) -> None:
    """Outside check: the five sentences and texts of Debian's pocketsphinx-testdata, word error rate by jiwer; with
    the trade words told to the model, though no word of the trade is in them."""
    sentences = human_sentences()
    transcript = hear([p for p, _ in sentences], HearOptions(device="cpu"), lexicon, SilentProgress())
    said = [" ".join(w.text for w in transcript.words if w.take == i + 1) for i in range(len(sentences))]
    assert jiwer.wer([plain(t) for _, t in sentences], [plain(s) for s in said]) <= 0.05
    assert transcript.repairs == ()


def test_takes_keep_their_clock_and_words_their_place(session: Path, lexicon: Lexicon) -> None:
    """Twenty minutes lie between the takes; words rise in time inside their take; the bar ends at its total."""
    watch = Watch()
    transcript = hear([session], FAST, lexicon, watch)
    first, second = transcript.takes
    assert (first.start, second.start) == (0.0, 1200.0)
    for take in transcript.takes:
        words = [w for w in transcript.words if w.take == take.number]
        assert words
        assert all(take.start <= w.start <= w.end <= take.end for w in words)
        assert all(a.start <= b.start for a, b in itertools.pairwise(words))
        assert all(w.heard == w.text and 0 <= (w.probability or 0) <= 1 for w in words)
    assert watch.done == pytest.approx(watch.total)
    assert transcript.model == "tiny.en"
    assert source_paths([session], transcript) == {1: session / "one.flac", 2: session / "two.opus"}


def test_a_second_hearing_is_read_from_the_cache(
    session: Path, lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The model is not even loaded, and the result is the same, also when the file has another name."""
    first = hear([session], FAST, lexicon, SilentProgress())
    monkeypatch.setattr(recognise, "load", lambda *_: pytest.fail("the model was loaded"))
    again = hear([session], FAST, lexicon, SilentProgress())
    assert again == first


def test_without_the_cache_the_sound_is_heard_again(
    session: Path, lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The user may ask for a fresh hearing."""
    hear([session], FAST, lexicon, SilentProgress())
    loads: list[object] = []
    real = recognise.load
    monkeypatch.setattr(recognise, "load", lambda *a: loads.append(a) or real(*a))
    hear([session], HearOptions(model="tiny.en", device="cpu", use_cache=False), lexicon, SilentProgress())
    assert len(loads) == 1


NOISES = {"silence": silence, "hiss": white_noise, "rumble": brown_noise, "wind": wind, "music": music, "cough": coughs}


@pytest.mark.parametrize("kind", NOISES)
@pytest.mark.parametrize("bias", [True, False])
def test_a_recording_without_speech_gives_no_words(
    kind: str, bias: bool, tmp_path: Path, lexicon: Lexicon
) -> None:
    """With and without the trade words in its ear, the model puts none into silence, noise, music, wind or coughs."""
    path = write(tmp_path / f"{kind}.flac", NOISES[kind](45.0))
    with pytest.raises(SilentAudioError, match=f"No speech was heard in {kind}.flac"):
        hear([path], HearOptions(device="cpu", bias=bias, cigar="Copper Lantern"), lexicon, SilentProgress())


def test_words_are_only_put_where_somebody_speaks(tmp_path: Path, lexicon: Lexicon) -> None:
    """A sentence in the middle of two minutes of wind: no word before it or after it."""
    path, _ = human_sentences()[0]
    voice: Samples = samples_of(path)
    noise = wind(120.0) * 0.2
    at = 60 * 16000
    noise[at : at + len(voice)] += voice
    transcript = hear([write(tmp_path / "garden.flac", noise)], FAST, lexicon, SilentProgress())
    assert transcript.words
    assert all(w.start >= 59.5 and w.end <= 60.5 + len(voice) / 16000 for w in transcript.words)


def test_a_silent_take_among_spoken_ones_stays_empty(session: Path, tmp_path: Path, lexicon: Lexicon) -> None:
    """One pressed button too many is no reason to refuse the rest."""
    quiet = write(tmp_path / "nothing.wav", silence(3.0))
    transcript = hear([session / "two.opus", quiet], FAST, lexicon, SilentProgress())
    assert [t.source for t in transcript.takes] == ["nothing.wav", "two.opus"] or len(transcript.takes) == 2
    assert {w.take for w in transcript.words} == {t.number for t in transcript.takes if t.source == "two.opus"}


def test_a_transcript_is_read_and_not_heard(tmp_path: Path, lexicon: Lexicon) -> None:
    """A .vtt goes through as it is."""
    (tmp_path / "a.vtt").write_text("WEBVTT\n\n00:00.000 --> 00:01.000\nHello there\n")
    transcript = hear([tmp_path / "a.vtt"], FAST, lexicon, SilentProgress())
    assert isinstance(transcript, Transcript)
    assert [w.text for w in transcript.words] == ["Hello", "there"]


@pytest.mark.parametrize(("model", "message"), [
    ("enormous", "no speech model named enormous"),
    ("en-core-web-sm", "not a speech model"),
])
def test_a_model_that_is_not_there_is_told_in_one_sentence(
    session: Path, lexicon: Lexicon, model: str, message: str
) -> None:
    """An unknown name and a model of another kind; the message says what to choose."""
    with pytest.raises(ModelError, match=message):
        hear([session], HearOptions(model=model, device="cpu"), lexicon, SilentProgress())


def test_a_model_that_cannot_be_fetched_says_what_to_do(
    session: Path, lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A name that faster-whisper knows, on a machine whose network is closed."""
    monkeypatch.setattr("faster_whisper.utils.download_model", lambda *a, **k: (_ for _ in ()).throw(OSError("closed")))
    with pytest.raises(ModelError, match=r"small is not on this machine and cannot be fetched .*--model base"):
        hear([session], HearOptions(model="small", device="cpu"), lexicon, SilentProgress())


def test_a_folder_may_be_the_model(session: Path, lexicon: Lexicon, tmp_path: Path) -> None:
    """A folder with a model serves; one without says what is missing."""
    from voicedraft.models import model_path

    given = HearOptions(model=str(model_path("tiny.en")), device="cpu")
    assert hear([session / "two.opus"], given, lexicon, SilentProgress()).words
    with pytest.raises(ModelError, match=r"holds no model\.bin"):
        hear([session], HearOptions(model=str(tmp_path)), lexicon, SilentProgress())


def test_a_broken_file_leaves_nothing_half_written(session: Path, tmp_path: Path, lexicon: Lexicon) -> None:
    """A take that cannot be read stops the hearing; the cache holds whole files only, each valid JSON."""
    broken = tmp_path / "broken.flac"
    whole = (session / "one.flac").read_bytes()
    broken.write_bytes(b"fLaC" + whole[2000:2400])
    with pytest.raises(InputError, match=r"broken\.flac"):
        hear([session / "two.opus", broken], HearOptions(model="tiny.en", device="cpu", cache=tmp_path / "c"), lexicon,
             SilentProgress())
    for path in (tmp_path / "c").rglob("*.json"):
        json.loads(path.read_text())
    assert not [p for p in (tmp_path / "c").rglob(".*")]


@pytest.mark.parametrize(("seconds", "frames"), [(2.0, 750), (12.0, 750), (20.0, 1150), (29.5, 1500)])
def test_a_short_window_is_not_encoded_as_a_full_one(seconds: float, frames: int) -> None:
    """Fifty encoder frames a second of sound and of three seconds beyond, never fewer than fifteen seconds' nor more
    than Whisper's thirty."""
    recogniser = Recogniser(find_speech_model("tiny.en"), Device("cpu", "int8", 1), "en")
    samples = white_noise(seconds, 0.01, 1)
    window = Window(1, 0, samples, (0,), (0,), seconds)
    assert recogniser.encode(window).shape == (1, frames, 384)
