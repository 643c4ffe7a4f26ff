"""Which takes, in which order, and when each began."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from tests.hear_sounds import silence, write_sound
from voicedraft.errors import InputError
from voicedraft.hear import clock, session_starts
from voicedraft.hear.inputs import find_recordings, timed_text_of


def take(folder: Path, name: str, tag: str = "", seconds: float = 1.0) -> Path:
    return write_sound(folder / name, silence(seconds), {"creation_time": tag} if tag else {})


@pytest.mark.parametrize(("name", "moment"), [
    ("take-01_2026-03-14T20-01-10", datetime(2026, 3, 14, 20, 1, 10)),
    ("20260314_200110", datetime(2026, 3, 14, 20, 1, 10)),
    ("Memo 2026-03-14 at 20.01", datetime(2026, 3, 14, 20, 1)),
    ("2026-03-14", None),
    ("cigar 52 of 2026", None),
    ("20261399_200110", None),
])
def test_a_name_tells_the_clock_only_where_it_holds_a_day_and_a_time(name: str, moment: datetime | None) -> None:
    """ISO 8601 in its basic and extended forms, with the separators that file names need."""
    assert clock.from_name(name) == moment


def test_a_tag_with_a_day_alone_tells_no_clock() -> None:
    """Music files carry a year or a day; only a time of day orders takes."""
    assert clock.from_tags({"date": "2026"}) is None
    assert clock.from_tags({"DATE": "2026-03-14"}) is None
    assert clock.from_tags({"creation_time": "2026-03-14T20:01:10.000000Z"}) is not None


def test_takes_are_ordered_by_the_clock_in_their_tags(tmp_path: Path) -> None:
    """Names say otherwise; the clock wins, and its gap is kept in session seconds."""
    take(tmp_path, "b.flac", "2026-03-14T20:00:00Z", 2.0)
    take(tmp_path, "a.flac", "2026-03-14T20:05:00Z")
    found = find_recordings([tmp_path], ())
    assert [r.path.name for r in found] == ["b.flac", "a.flac"]
    assert session_starts([r.clock for r in found], [r.seconds for r in found]) == [0.0, 300.0]


def test_takes_without_a_clock_go_by_running_number_and_follow_one_another(tmp_path: Path) -> None:
    """Take 2 comes before take 10; the files' own dates are not looked at."""
    for number in (10, 2, 1):
        take(tmp_path, f"take {number}.wav", seconds=2.0)
    found = find_recordings([tmp_path], ())
    assert [r.path.name for r in found] == ["take 1.wav", "take 2.wav", "take 10.wav"]
    assert session_starts([r.clock for r in found], [r.seconds for r in found]) == [0.0, 2.0, 4.0]


def test_the_users_starts_win_and_pass_midnight(tmp_path: Path) -> None:
    """One start a take, in the order given; 0:10 after 23:50 is twenty minutes later."""
    paths = [take(tmp_path, "z.wav"), take(tmp_path, "a.wav")]
    found = find_recordings(paths, ("23:50", "0:10"))
    assert [r.path.name for r in found] == ["z.wav", "a.wav"]
    assert session_starts([r.clock for r in found], [1.0, 1.0]) == [0.0, 1200.0]


@pytest.mark.parametrize(("starts", "seconds"), [
    (("20:00", "+12:30"), 750.0), (("20:00", "20:01:30"), 90.0), (("2026-03-14T20:00", "2026-03-15T20:00"), 86400.0),
    (("20:00", "+1:00:05"), 3605.0),
])
def test_a_start_may_be_a_time_a_date_or_a_distance(tmp_path: Path, starts: tuple[str, str], seconds: float) -> None:
    """Each way of saying it gives the second take its place."""
    paths = [take(tmp_path, "1.wav"), take(tmp_path, "2.wav")]
    found = find_recordings(paths, starts)
    assert session_starts([r.clock for r in found], [1.0, 1.0])[1] == seconds


def test_a_start_that_is_not_understood_or_too_many_are_refused(tmp_path: Path) -> None:
    """The value is named, and how to give it."""
    paths = [take(tmp_path, "1.wav"), take(tmp_path, "2.wav"), take(tmp_path, "3.wav")]
    with pytest.raises(InputError, match="'eight' is not understood"):
        find_recordings(paths, ("eight",))
    with pytest.raises(InputError, match="2 starts were given for 3 takes"):
        find_recordings(paths, ("20:00", "20:10"))
    with pytest.raises(InputError, match="1 start was given for 3 takes"):
        find_recordings(paths, ("20:00",))


@pytest.mark.parametrize("starts", [
    ("20:30", "20:10"), ("2026-03-14T20:30", "20:10"), ("20:30", "2026-03-14T20:10"), ("10:00", "9:00"),
])
def test_starts_out_of_order_are_refused(tmp_path: Path, starts: tuple[str, str]) -> None:
    """Twenty minutes back are no night: the value is named, and no take lands on the next day."""
    paths = [take(tmp_path, "1.wav", "2026-03-14T19:00:00"), take(tmp_path, "2.wav")]
    with pytest.raises(InputError, match="before the one given before it"):
        find_recordings(paths, starts)


def test_a_time_of_day_without_a_day_makes_no_date_up(tmp_path: Path) -> None:
    """Only where a file or the user tells the day does a take have a date; the gap is kept either way."""
    paths = [take(tmp_path, "1.wav"), take(tmp_path, "2.wav")]
    assert [r.dated for r in find_recordings(paths, ("20:00", "+5:00"))] == [False, False]
    assert all(r.dated for r in find_recordings(paths, ("2026-03-14T20:00", "20:05")))
    dated = [take(tmp_path, "3.flac", "2026-03-14T20:00:00Z"), paths[0]]
    assert all(r.dated for r in find_recordings(dated, ("20:00", "20:05")))


def test_a_take_never_starts_before_the_last_one_ended() -> None:
    """A clock that is a little off does not make takes overlap; one without a clock follows on."""
    clocks = [datetime(2026, 3, 14, 20, 0), datetime(2026, 3, 14, 20, 0, 5), None]
    assert session_starts(clocks, [30.0, 10.0, 10.0]) == [0.0, 30.0, 40.0]


def test_a_folder_gives_its_recordings_and_leaves_other_files(tmp_path: Path) -> None:
    """Notes and pictures beside the takes are not inputs, and a take named twice counts once."""
    first = take(tmp_path, "1.wav")
    (tmp_path / "notes.json").write_text("{}")
    (tmp_path / ".hidden.wav").write_bytes(b"x")
    assert [r.path.name for r in find_recordings([tmp_path, first], ())] == ["1.wav"]


@pytest.mark.parametrize(("make", "message"), [
    (lambda f: f / "none.wav", "does not exist"),
    (lambda f: (f / "zero.wav", (f / "zero.wav").touch())[0], "zero.wav is empty"),
    (lambda f: (f / "text.wav", (f / "text.wav").write_text("this is no sound" * 9))[0], "cannot be read as sound"),
    (lambda f: (f / "sub", (f / "sub").mkdir())[0], "holds no recordings"),
])
def test_an_input_that_is_no_recording_is_told_in_one_sentence(tmp_path: Path, make: object, message: str) -> None:
    """Missing, empty, not a sound, an empty folder: the name and the next step."""
    path = make(tmp_path)  # type: ignore[operator]
    with pytest.raises(InputError, match=message) as caught:
        find_recordings([path], ())
    assert str(caught.value).endswith(".")
    assert "\n" not in str(caught.value)


def test_a_transcript_is_not_mixed_with_recordings(tmp_path: Path) -> None:
    """Either one transcript or recordings; the message names both files."""
    (tmp_path / "a.vtt").write_text("WEBVTT\n\n00:00.000 --> 00:01.000\nHello\n")
    with pytest.raises(InputError, match=r"a\.vtt is a timed transcript and cannot be mixed with b\.wav"):
        timed_text_of([tmp_path / "a.vtt", take(tmp_path, "b.wav")])
    assert timed_text_of([tmp_path / "a.vtt"]) == tmp_path / "a.vtt"
