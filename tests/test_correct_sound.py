"""The terminal plays through a real audio server, and what comes out of it is what was recorded."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt
import pytest

from tests import audio_server, sounding
from voicedraft.draft.write import read_review

Samples = npt.NDArray[np.float32]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return sounding.drafted(tmp_path)


@pytest.fixture
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[audio_server.AudioServer]:
    with audio_server.running(tmp_path_factory.mktemp("audio")) as server:
        yield server


def _terminal(folder: Path, variables: dict[str, str]) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "voicedraft", "correct", str(folder), "--terminal", "--no-learning"], env=variables,
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
    )


def _typed(folder: Path, variables: dict[str, str], *lines: str) -> str:
    """What the terminal prints when a person types these lines and stops."""
    with _terminal(folder, variables) as process:
        printed, _ = process.communicate("".join(f"{line}\r" for line in (*lines, "q")), timeout=120)
    assert process.returncode == 0
    return printed


def _whole(path: Path) -> Samples:
    """A recording decoded whole, without this program's own cutting."""
    with av.open(str(path)) as container:
        resampler = av.AudioResampler(format="flt", layout="mono", rate=audio_server.RATE)
        frames = [f for frame in container.decode(audio=0) for f in resampler.resample(frame)]
        return np.concatenate([f.to_ndarray().reshape(-1) for f in frames]).astype(np.float32)


BLOCK = audio_server.RATE // 5


def _matches(recorded: Samples, wanted: Samples) -> list[tuple[float, int]]:
    """Of each fifth of a second of `wanted`, the correlation with the recording where it fits best, and where that
    is. A busy computer may put silence between blocks, which changes neither."""
    out = []
    size = 1 << (len(recorded) + BLOCK).bit_length()
    spectrum = np.fft.rfft(recorded, size)
    energy = np.concatenate([[0.0], np.cumsum(recorded.astype(np.float64) ** 2)])
    loudness = np.sqrt(energy[BLOCK:-1] - energy[: -BLOCK - 1]) + 1.0
    for start in range(0, len(wanted) - BLOCK + 1, BLOCK):
        block = wanted[start : start + BLOCK]
        product = np.fft.irfft(spectrum * np.conj(np.fft.rfft(block, size)), size)[: len(recorded) - BLOCK]
        at = int((product / loudness).argmax())
        out.append((float(np.corrcoef(recorded[at : at + BLOCK], block)[0, 1]), at))
    return out


@pytest.mark.parametrize(("passage", "lines", "take", "words"), [
    (4, ("5", "play"), "take-02.flac", None), (1, ("2", "play 4 5"), "take-01.opus", (3, 5)),
])
def test_the_words_asked_for_and_no_others_come_out_of_the_audio_device(
    folder: Path, server: audio_server.AudioServer, tmp_path: Path, passage: int, lines: tuple[str, ...], take: str,
    words: tuple[int, int] | None,
) -> None:
    """A passage of a FLAC take and two words of an Opus take, typed, played by the server and recorded from it."""
    with server.recorded(tmp_path / "out.raw"):
        assert "audio device" not in _typed(folder, server.environment, *lines)
    review = read_review(folder / "review.json")
    said = review.passages[passage]
    first, last = words or (0, len(said.words))
    start = next(t.start for t in review.takes if t.number == said.take)
    low, high = said.words[first].start - start, said.words[last - 1].end - start
    wanted = _whole(folder.parent / "takes" / take)[round(low * audio_server.RATE) : round(high * audio_server.RATE)]
    recorded = audio_server.samples(tmp_path / "out.raw")
    found = _matches(recorded, wanted)
    places = [at for _, at in found]
    assert len(found) >= 3
    assert float(np.median([likeness for likeness, _ in found])) > 0.999
    assert places == sorted(places)
    loud, expected = int((np.abs(recorded) > 0.02).sum()), int((np.abs(wanted) > 0.02).sum())
    assert loud == pytest.approx(expected, rel=0.05)


def test_without_an_audio_device_the_terminal_says_so_and_goes_on(folder: Path, tmp_path: Path) -> None:
    """Nothing listens at the server's address; the passage is accepted all the same."""
    home = tmp_path / "home"
    home.mkdir()
    printed = _typed(folder, audio_server.environment(home, home / "nobody.sock"), "5", "play", "a")
    assert "There is no audio device to play through (" in printed
    assert "Correct on the page instead, or connect one." in " ".join(printed.split())
    assert "Saved: passage at 5:16: accepted" in printed


def test_an_audio_device_that_goes_away_while_playing_is_told(folder: Path, server: audio_server.AudioServer) -> None:
    """The terminal neither hangs nor ends."""
    with _terminal(folder, server.environment) as process:
        assert process.stdin
        process.stdin.write("5\ron\r")
        process.stdin.flush()
        time.sleep(4)
        server.stop()
        printed, _ = process.communicate("a\rq\r", timeout=60)
    assert "audio device" in printed
    assert "Saved: passage at 5:16: accepted" in printed
