"""Stops and crashes: what was finished is kept, nothing half-written is left."""

from __future__ import annotations

import json
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.hear_sounds import human_sentences, samples_of, white_noise, write_sound
from voicedraft.errors import InputError
from voicedraft.hear import HearOptions, bias, hear, recognise, transcribe
from voicedraft.hear.recognise import HeardWord, Result
from voicedraft.hear.store import Decoded, Finished, Store, settings_key
from voicedraft.hear.transcribe import TakeState
from voicedraft.hear.windows import Window
from voicedraft.lexicon import load_lexicon
from voicedraft.progress import SilentProgress

WORDS = Finished([HeardWord("hay", 1.0, 1.5, 0.9)], "hey")
PROGRAM = """
import signal
import sys
from pathlib import Path
from typing import Any
from voicedraft.hear import HearOptions, hear
from voicedraft.hear.transcribe import Transcription
from voicedraft.lexicon import load_lexicon
from voicedraft.progress import SilentProgress
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell that runs the tests in the background ignores it
real = Transcription._hear
def begun(self, group):
    with open(sys.argv[3], "a") as file:
        file.writelines(f"{window.key}\\n" for _, window, _ in group)
    real(self, group)
Transcription._hear = begun
options = HearOptions(model="tiny.en", device="cpu", cache=Path(sys.argv[2]), threads=int(sys.argv[4]))
try:
    hear([Path(sys.argv[1])], options, load_lexicon(), SilentProgress())
except KeyboardInterrupt:
    sys.exit(130)
"""


def spoken(file: Path, rounds: int) -> Path:
    """Human speech in one take, about 27 seconds a round."""
    parts = []
    for round_ in range(rounds):
        for path, _ in human_sentences():
            parts += [samples_of(path), white_noise(0.4, 0.0005, round_)]
    return write_sound(file, np.concatenate(parts))


@pytest.fixture(scope="module")
def long_take(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """About four minutes: more windows than are heard together."""
    return spoken(tmp_path_factory.mktemp("long") / "long.flac", 9)


@pytest.fixture(scope="module")
def take(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Under two minutes, four windows."""
    return spoken(tmp_path_factory.mktemp("take") / "take.flac", 4)


def journal(cache: Path, settled: bool = False) -> set[str]:
    """Keys of the windows kept so far; with `settled` those alone whose words are settled."""
    rows = [json.loads(line) for p in cache.rglob("*.part") for line in p.read_text().splitlines() if line]
    return {row["window"] for row in rows if not settled or "told" not in row}


def stopped_midway(take: Path, cache: Path, how: signal.Signals, threads: int = 1, keep: int = 1) -> tuple[int, bytes]:
    """Exit code and error output of a hearing stopped by a signal once `keep` windows are settled and more are in work.

    The windows whose hearing had begun are listed in `cache`/begun.
    """
    command = [sys.executable, "-c", PROGRAM, str(take), str(cache), str(cache / "begun"), str(threads)]
    process = subprocess.Popen(command, stderr=subprocess.PIPE)
    deadline = time.monotonic() + 120
    while len(journal(cache, settled=True)) < keep and time.monotonic() < deadline and process.poll() is None:
        time.sleep(0.02)
    process.send_signal(how)
    _, errors = process.communicate(timeout=60)
    return process.returncode, errors


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT])
def test_a_stopped_hearing_goes_on_at_the_last_finished_window(
    how: signal.Signals, long_take: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After kill -9 or Ctrl-C the windows that were finished are not heard again, only those in work are, and the
    result is that of a hearing never stopped. Ctrl-C ends with its own code and no traceback."""
    code, errors = stopped_midway(long_take, tmp_path, how)
    assert code == (130 if how == signal.SIGINT else -signal.SIGKILL)
    assert b"Traceback" not in errors
    kept = journal(tmp_path, settled=True)
    assert kept
    assert not list(tmp_path.rglob("*.json.*"))
    encoded: list[str] = []
    real = recognise.Recogniser.encode

    def noted(self: recognise.Recogniser, window: Window) -> recognise.Encoded:
        encoded.append(window.key)
        return real(self, window)

    monkeypatch.setattr(recognise.Recogniser, "encode", noted)
    options = HearOptions(model="tiny.en", device="cpu", cache=tmp_path)
    resumed = hear([long_take], options, load_lexicon(), SilentProgress())
    assert encoded
    assert not set(encoded) & set(kept)
    heard_again = len(encoded)
    encoded.clear()
    whole = hear([long_take], HearOptions(model="tiny.en", device="cpu", cache=tmp_path / "fresh"), load_lexicon(),
                 SilentProgress())
    assert heard_again == len(encoded) - len(kept)
    assert [w.text for w in resumed.words] == [w.text for w in whole.words]


@pytest.mark.parametrize("keep", [1, 3, 4])
def test_a_kill_loses_at_most_the_window_in_work(keep: int, long_take: Path, tmp_path: Path) -> None:
    """Every window whose hearing had begun is kept, save the one that was being heard when the machine stopped."""
    stopped_midway(long_take, tmp_path, signal.SIGKILL, threads=2, keep=keep)
    begun, kept = (tmp_path / "begun").read_text().split(), journal(tmp_path)
    assert len(kept) >= keep
    assert kept <= set(begun)
    assert len(set(begun) - kept) <= 1


def test_a_window_that_was_decoded_is_not_decoded_again(
    take: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A machine that stops before a window's words are settled: what was decoded is kept, with what it was told, and
    the result is that of a hearing never stopped."""
    begun: list[str] = []
    finished: list[str] = []
    stop_at = 0
    hear_first, finish = transcribe.Transcription._hear, transcribe.Transcription._finish

    def noted(self: transcribe.Transcription, group: list[tuple[TakeState, Window, recognise.Encoded]]) -> None:
        begun.extend(window.key for _, window, _ in group)
        hear_first(self, group)

    def stopped(self: transcribe.Transcription, verdict: Any, window: Window, *rest: Any) -> list[HeardWord]:
        finished.append(window.key)
        if len(finished) == stop_at:
            raise KeyboardInterrupt
        return finish(self, verdict, window, *rest)

    monkeypatch.setattr(transcribe.Transcription, "_hear", noted)
    monkeypatch.setattr(transcribe.Transcription, "_finish", stopped)

    def heard(cache: Path) -> list[str]:
        options = HearOptions(model="tiny.en", device="cpu", cache=cache)
        return [w.text for w in hear([take], options, load_lexicon(), SilentProgress()).words]

    whole = heard(tmp_path / "whole")
    assert len(finished) == len(begun) == len(set(begun))
    stop_at = len(finished) + 2
    with pytest.raises(KeyboardInterrupt):
        heard(tmp_path / "stopped")
    kept, settled = journal(tmp_path / "stopped"), journal(tmp_path / "stopped", settled=True)
    assert kept - settled
    begun.clear()
    finished.clear()
    stop_at = 0
    assert heard(tmp_path / "stopped") == whole
    assert begun
    assert not set(begun) & kept
    assert kept - settled <= set(finished)
    assert not set(finished) & settled


def test_the_threads_pace_decides_nothing(
    take: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether each window is finished at once or all at the end, the same words come out at the same times."""
    def heard(name: str) -> list[Any]:
        options = HearOptions(model="tiny.en", device="cpu", cache=tmp_path / name)
        return list(hear([take], options, load_lexicon(), SilentProgress()).words)

    usual = heard("usual")
    encode, finish = recognise.Recogniser.encode, transcribe.Transcription._finish

    def late(self: transcribe.Transcription, *given: Any) -> list[HeardWord]:
        time.sleep(0.5)
        return finish(self, *given)

    def slow(self: recognise.Recogniser, window: Window) -> recognise.Encoded:
        time.sleep(0.5)
        return encode(self, window)

    monkeypatch.setattr(transcribe.Transcription, "_finish", late)
    assert heard("late") == usual
    monkeypatch.setattr(recognise.Recogniser, "encode", slow)
    assert heard("slow") == usual


def test_a_torn_last_line_loses_one_window_only(tmp_path: Path) -> None:
    """A machine that stops while a line is written; the next line is whole again."""
    store = Store(tmp_path, "k")
    store.add("d" * 64, "w1", WORDS)
    [path] = tmp_path.rglob("*.part")
    with path.open("ab") as file:
        file.write('{"window": "w2", "words": [["jalapeñ'.encode()[:-1])
    assert store.windows("d" * 64) == {"w1": WORDS}
    store.add("d" * 64, "w3", WORDS)
    assert set(store.windows("d" * 64)) == {"w1", "w3"}


def test_a_window_waits_until_its_words_are_kept(tmp_path: Path) -> None:
    """Two lines of one window: the later one counts, the former comes back to the last digit."""
    result = Result("The hey.", (440, 4177, 13), -1 / 3, 0.1 + 0.2, 1.1, 2.7)
    store, decoded = Store(tmp_path, "k"), Decoded(result, ["hay", "wrapper leaf"])
    store.add("d" * 64, "w1", decoded)
    assert store.windows("d" * 64) == {"w1": decoded}
    store.add("d" * 64, "w1", WORDS)
    assert store.windows("d" * 64) == {"w1": WORDS}


def test_a_finished_take_leaves_no_journal(tmp_path: Path) -> None:
    """One whole file in its place, read back as it was."""
    store = Store(tmp_path, "k")
    store.add("d" * 64, "w1", WORDS)
    store.finish("d" * 64, WORDS)
    assert store.finished("d" * 64) == WORDS
    assert [p.suffix for p in tmp_path.rglob("*") if p.is_file()] == [".json"]


def test_other_settings_and_other_sound_are_other_hearings(tmp_path: Path) -> None:
    """A kept hearing is found only under its sound and its settings."""
    one, other = settings_key({"model": "a"}), settings_key({"model": "b"})
    assert one != other
    Store(tmp_path, one).finish("d" * 64, WORDS)
    assert Store(tmp_path, other).finished("d" * 64) is None
    assert Store(tmp_path, one).finished("e" * 64) is None
    assert Store(tmp_path, one, use=False).finished("d" * 64) is None


def test_a_broken_kept_hearing_is_heard_again(tmp_path: Path) -> None:
    """Rubbish in the cache is not an error."""
    store = Store(tmp_path, "k")
    store.finish("d" * 64, WORDS)
    [path] = tmp_path.rglob("*.json")
    path.write_text("{")
    assert store.finished("d" * 64) is None


def test_a_cache_that_cannot_be_written_does_not_stop_the_hearing(tmp_path: Path) -> None:
    """The words are given all the same, and the user is told once."""
    path, _ = human_sentences()[1]
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    said: list[str] = []

    class Listener(SilentProgress):
        def say(self, message: str) -> None:
            said.append(message)

    options = HearOptions(model="tiny.en", device="cpu", cache=blocked)
    assert hear([path], options, load_lexicon(), Listener()).words
    assert len(said) == 1
    assert "cannot be kept" in said[0]


@pytest.mark.parametrize("step", ["encode", "decode", "align"])
@pytest.mark.parametrize("call", [1, 3])
def test_an_error_anywhere_reaches_the_caller_and_leaves_no_thread(
    step: str, call: int, take: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whichever thread the model breaks in."""
    real, calls = getattr(recognise.Recogniser, step), []

    def broken(*given: Any, **named: Any) -> Any:
        calls.append(step)
        if len(calls) >= call:
            raise RuntimeError("broken")
        return real(*given, **named)

    monkeypatch.setattr(recognise.Recogniser, step, broken)
    with pytest.raises(RuntimeError, match="broken"):
        hear([take], HearOptions(model="tiny.en", device="cpu", cache=tmp_path), load_lexicon(), SilentProgress())
    assert not [t.name for t in threading.enumerate() if t.name.startswith("voicedraft-")]


def test_a_take_that_cannot_be_read_does_not_cost_the_one_before(
    take: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first take is heard to its end and kept whole, then the error is told."""
    broken = tmp_path / "zz.flac"
    broken.write_bytes(take.read_bytes() + b" ")
    real = transcribe.stream

    def torn(path: Path) -> Any:
        if path == broken:
            raise InputError("zz.flac cannot be read")
        return real(path)

    monkeypatch.setattr(transcribe, "stream", torn)
    options = HearOptions(model="tiny.en", device="cpu", cache=tmp_path / "cache")
    with pytest.raises(InputError, match=r"zz\.flac"):
        hear([take, broken], options, load_lexicon(), SilentProgress())
    assert len(list((tmp_path / "cache").rglob("*.json"))) == 1
    assert not list((tmp_path / "cache").rglob("*.part"))


def test_windows_decoded_together_are_told_the_same_after_a_stop(
    long_take: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Four together, as on a GPU: of a group of which two were kept the other two are told what the four were."""
    monkeypatch.setitem(transcribe.TOGETHER, "cpu", 4)
    monkeypatch.setattr(recognise, "LEAST_S", 30.0)  # All of one length.
    monkeypatch.setattr(bias, "named_terms", lambda lexicon, texts: [str(len(" ".join(texts)))])
    options = HearOptions(model="tiny.en", device="cpu", cache=tmp_path)
    told: dict[str, list[str]] = {}
    add = Store.add

    def noted(self: Store, digest: str, window: str, kept: Any) -> None:
        if isinstance(kept, Decoded):
            told.setdefault(window, []).append(" ".join(kept.told))
            if len(told) == stop_at:
                raise KeyboardInterrupt
        add(self, digest, window, kept)

    monkeypatch.setattr(Store, "add", noted)
    stop_at = 7
    with pytest.raises(KeyboardInterrupt):
        hear([long_take], options, load_lexicon(), SilentProgress())
    before = {window: texts[-1] for window, texts in told.items()}
    stop_at = 0
    hear([long_take], options, load_lexicon(), SilentProgress())
    again = [window for window, texts in told.items() if len(texts) > 1]
    assert again
    assert all(told[window][-1] == before[window] for window in again)
    assert len({texts[-1] for texts in told.values()}) > 1
