"""Sound for the page: byte ranges as RFC 9110 section 14 has them, every format, and the waveform."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from fastapi.testclient import TestClient

from tests import correcting, sounding
from voicedraft.correct.session import sounds_of
from voicedraft.correct.web import create_app
from voicedraft.correct.web.peaks import STEP_S, peaks
from voicedraft.correct.web.sound import Sounds
from voicedraft.errors import InputError
from voicedraft.paths import cache_folder

ENTRY = "a-word-for-the-tests-only"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return sounding.drafted(tmp_path)


@pytest.fixture
def page(folder: Path) -> Iterator[TestClient]:
    with TestClient(create_app(folder, ENTRY), base_url="http://127.0.0.1:8321") as client:
        client.get("/", params={"token": ENTRY})
        yield client


@pytest.fixture
def whole(folder: Path) -> bytes:
    return (folder.parent / "takes" / "take-02.flac").read_bytes()


@pytest.mark.parametrize(("asked", "first", "last"), [
    ("bytes=0-99", 0, 99), ("bytes=100-", 100, None), ("bytes=-50", -50, None), ("bytes=0-0", 0, 0),
    ("bytes=10-99999999", 10, None), ("bytes=-99999999", 0, None),
])
def test_a_range_gives_exactly_its_bytes(
    page: TestClient, whole: bytes, asked: str, first: int, last: int | None
) -> None:
    """206, the right part, and Content-Range that says where it lies."""
    begin = first if first >= 0 else len(whole) + first
    end = len(whole) - 1 if last is None else last
    answer = page.get("/sound/2", headers={"Range": asked})
    assert answer.status_code == 206
    assert answer.content == whole[begin : end + 1]
    assert answer.headers["content-range"] == f"bytes {begin}-{end}/{len(whole)}"
    assert answer.headers["content-length"] == str(end - begin + 1)


@pytest.mark.parametrize("asked", ["bytes=99999999-", "bytes=99999999-999999999"])
def test_a_range_past_the_end_is_416_with_the_length(page: TestClient, whole: bytes, asked: str) -> None:
    """RFC 9110 section 15.5.17: the answer says how long the file is."""
    answer = page.get("/sound/2", headers={"Range": asked})
    assert answer.status_code == 416
    assert answer.headers["content-range"].removeprefix("bytes ") == f"*/{len(whole)}"


@pytest.mark.parametrize("asked", ["bytes=x-y", "bytes=5-2", "bytes=", "bytes=--5"])
def test_a_malformed_range_is_never_an_error_of_ours(page: TestClient, whole: bytes, asked: str) -> None:
    """Either refused with a 4xx or passed over with the whole file, as RFC 9110 allows."""
    answer = page.get("/sound/2", headers={"Range": asked})
    assert answer.status_code in (400, 416) or (answer.status_code == 200 and answer.content == whole)


def test_without_a_range_the_whole_recording_comes(page: TestClient, whole: bytes) -> None:
    """200, its type, and that ranges are taken; HEAD says the same without the bytes."""
    answer = page.get("/sound/2")
    assert (answer.status_code, answer.content) == (200, whole)
    assert answer.headers["content-type"] == "audio/flac"
    assert answer.headers["accept-ranges"] == "bytes"
    head = page.head("/sound/2")
    assert head.headers["content-length"] == str(len(whole))
    assert head.content == b""
    assert page.head("/sound/1").headers["content-type"] == "audio/ogg"


def test_a_range_of_a_recording_that_has_changed_is_sent_whole(page: TestClient, whole: bytes) -> None:
    """If-Range with another file's tag gives 200 (RFC 9110 section 13.1.5), with its own tag 206."""
    tag = page.head("/sound/2").headers["etag"]
    assert page.get("/sound/2", headers={"Range": "bytes=0-9", "If-Range": '"other"'}).status_code == 200
    assert page.get("/sound/2", headers={"Range": "bytes=0-9", "If-Range": tag}).status_code == 206


@pytest.mark.parametrize("suffix", [".wav", ".flac", ".opus"])
def test_the_waveform_is_loud_where_something_sounds(tmp_path: Path, suffix: str) -> None:
    """One second of tone after one of silence: points at the right places, the loudest 100."""
    tone = np.sin(2 * np.pi * 440 * np.arange(sounding.RATE) / sounding.RATE) * 20_000
    path = tmp_path / f"x{suffix}"
    sounding.write_sound(path, np.concatenate([np.zeros(sounding.RATE), tone]).astype(np.int16))
    outline = peaks(path, "d" * 64)
    quarter = int(1 / STEP_S)
    assert max(outline[: quarter - 1]) <= 2
    assert min(outline[quarter + 1 : 2 * quarter - 1]) >= 85
    assert max(outline) == 100


def test_a_waveform_is_computed_once(tmp_path: Path) -> None:
    """The second time it comes from the cache, though the file is gone."""
    path = tmp_path / "x.wav"
    sounding.write_sound(path, np.full(8000, 5000, np.int16))
    first = peaks(path, "e" * 64)
    path.unlink()
    assert peaks(path, "e" * 64) == first
    assert (cache_folder() / "peaks" / f"{'e' * 64}.json").exists()


def test_what_cannot_be_decoded_is_told(tmp_path: Path) -> None:
    """The message names the file."""
    path = tmp_path / "x.wav"
    path.write_bytes(b"this is no sound at all, only letters" * 9)
    with pytest.raises(InputError, match=r"x\.wav cannot be decoded"):
        peaks(path, "f" * 64)


@pytest.mark.parametrize("text", [
    '{"takes": 5}', "[1]", "5", '{"takes": [5]}', '{"takes": [{"number": "x", "path": "/etc/hostname"}]}',
    '{"takes": [{"path": "/etc/hostname"}]}', '{"takes": {"number": 1}}', "[" * 100_000, "not json",
    '{"takes": [{"number": 1, "path": "a\\u0000b", "digest": "x"}]}',
    '{"takes": [{"number": 1, "path": "' + "x" * 5000 + '", "digest": "x"}]}',
    '{"takes": [{"number": 1, "path": "\\ud800.wav", "digest": "x"}]}',
])
def test_a_list_of_recordings_that_makes_no_sense_names_none(tmp_path: Path, text: str) -> None:
    """Whoever wrote it: the draft opens without sound, and is written again without links."""
    folder = correcting.draft(tmp_path / "draft")
    (folder / "sources.json").write_text(text, encoding="utf-8")
    assert Sounds(folder).known() == {}
    assert sounds_of(folder) == {}
