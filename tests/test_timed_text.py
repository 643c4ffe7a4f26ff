"""Timed transcripts: what is said is never lost, and a broken one is refused by line."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicedraft.errors import InputError, LexiconError, TranscriptError
from voicedraft.hear.timed_text import parse_timed_text, read_timed_text
from voicedraft.lexicon import load_lexicon
from voicedraft.session import DraftOptions, draft_session

GOOD = "WEBVTT\n\n00:01.000 --> 00:02.000\nfirst\n\n{bad}\nlost\n\n00:05.000 --> 00:06.000\nlast\n"


def _words(text: str, name: str = "a.vtt") -> list[str]:
    return [w.text for w in parse_timed_text(text, name).words]


@pytest.mark.parametrize(
    "bad", ["00:03,000 --> 00:04,000", "00:03.000 -> 00:04.000", "00:61.000 --> 00:62.000", "00:03.000 -->"]
)
def test_a_cue_with_broken_times_is_refused_by_its_line(bad: str) -> None:
    """Source: W3C WebVTT, section 4.1, cue timings. A reader that skipped it would lose its words."""
    with pytest.raises(TranscriptError, match=r"a\.vtt, line 6: .*Mend its times"):
        parse_timed_text(GOOD.format(bad=bad), "a.vtt")


def test_notes_styles_and_identifiers_are_no_speech() -> None:
    """Source: W3C WebVTT, section 4.1: NOTE, STYLE and REGION blocks and cue identifiers and settings."""
    text = (
        "WEBVTT - a title\nKind: captions\n\nNOTE to self\nno words\n\nSTYLE\n::cue { }\n\n"
        "7\n00:01.000 --> 00:02.000 align:start\nhello there\n"
    )
    assert _words(text) == ["hello", "there"]


def test_only_markup_is_taken_out_of_what_was_said() -> None:
    """Voice and bold tags and word times go; a spoken "less than" stays."""
    cue = "<v Bob>price < 10 and > 5, <b>so</b> <00:01.500>said</v> &amp; done"
    assert _words(f"WEBVTT\n\n00:01.000 --> 00:02.000\n{cue}\n") == [
        "price",
        "<",
        "10",
        "and",
        ">",
        "5,",
        "so",
        "said",
        "&",
        "done",
    ]


def test_control_and_direction_characters_never_reach_a_draft() -> None:
    """Escape, bell, zero-width and right-to-left override."""
    assert _words("WEBVTT\n\n00:01.000 --> 00:02.000\nthe\x1b[31m \u202efoot\u200b\x07 \u200b now\n") == [
        "the",
        "[31m",
        "foot",
        "now",
    ]


def test_overlapping_cues_keep_words_in_time_order() -> None:
    """The first ends where the second begins."""
    words = parse_timed_text(
        "WEBVTT\n\n00:01.000 --> 00:09.000\nhi there\n\n00:02.000 --> 00:03.000\nyou\n", "a.vtt"
    ).words
    assert [w.start for w in words] == sorted(w.start for w in words)


def test_a_word_that_no_mouth_can_say_is_refused() -> None:
    """A hundred thousand letters without a blank."""
    with pytest.raises(TranscriptError, match="over 200 letters"):
        parse_timed_text(f"WEBVTT\n\n00:01.000 --> 00:02.000\n{'a-' * 50_000}\n", "a.vtt")


def test_subrip_is_read_in_its_own_syntax(tmp_path: Path) -> None:
    """Commas before the milliseconds, numbers before the times, UTF-16 with its mark."""
    path = tmp_path / "a.srt"
    path.write_text(
        "1\n00:00:01,500 --> 00:00:02,000\nhi there\n\n2\n00:00:03,000 --> 00:00:04,250\nbye\n", encoding="utf-16"
    )
    assert [(w.text, w.start) for w in read_timed_text(path).words][-1] == ("bye", 1.5)


def test_a_name_that_is_not_text_is_refused_before_any_work(tmp_path: Path) -> None:
    """A file name with a stray byte."""
    with pytest.raises(InputError, match="Rename the file"):
        draft_session([tmp_path / "n\udcff.vtt"], tmp_path / "out", DraftOptions(), show_progress=False)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("descriptors.toml", "family = 3"),
        ("descriptors.toml", '[family.wood]\nterms = [{term = "x", synonyms = 3}]'),
        ("descriptors.toml", '[family.wood]\nterms = [{term = "x", adjectives = [1]}]'),
        ("sections.toml", "[burn]\nopeners = [1, 2]"),
        ("sections.toml", "x = " + "[" * 3000),
    ],
)
def test_a_layer_of_another_shape_is_named_and_not_read(tmp_path: Path, file: str, text: str) -> None:
    """The user's own words, edited by hand or imported, are held against the shipped shapes."""
    (tmp_path / file).write_text(text, encoding="utf-8")
    with pytest.raises(LexiconError, match=file):
        load_lexicon(tmp_path)
