"""Voice found in a stream, silence passed over, spans packed into windows."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
import pytest
from faster_whisper.vad import get_vad_model

from tests.hear_sounds import (
    RATE,
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
from voicedraft.hear.voice import FRAME, LONGEST_S, Span, VoiceModel, find_speech
from voicedraft.hear.windows import WINDOW_S, Window, pack


@pytest.fixture(scope="module")
def spoken() -> Samples:
    """Five human sentences with two seconds of a quiet room between them."""
    parts: list[Samples] = []
    for path, _ in human_sentences():
        parts += [white_noise(2.0, 0.0005), samples_of(path)]
    return np.concatenate([*parts, white_noise(2.0, 0.0005)])


def blocks(samples: Samples, size: int) -> Iterator[Samples]:
    for at in range(0, len(samples), size):
        yield samples[at : at + size]


def test_the_stream_gives_what_the_whole_gives(spoken: Samples) -> None:
    """Silero block by block, its memory carried on, agrees with faster-whisper's own pass over the whole."""
    whole = spoken[: len(spoken) // FRAME * FRAME]
    expected = get_vad_model()(whole).reshape(-1)
    model, out = VoiceModel(), []
    for part in blocks(whole, 40 * FRAME):
        out.append(model(part.reshape(-1, FRAME)))
    assert np.max(np.abs(np.concatenate(out) - expected)) < 1e-4


def test_speech_is_found_and_the_pauses_are_left_out(spoken: Samples) -> None:
    """Every sentence lies in some span; two seconds of pause do not."""
    spans = list(find_speech(blocks(spoken, 8000)))
    covered = np.zeros(len(spoken), bool)
    for span in spans:
        covered[span.start : span.end] = True
        assert np.array_equal(span.samples, spoken[span.start : span.end])
    at = 0
    for path, _ in human_sentences():
        middle_of_pause = at + RATE
        length = len(samples_of(path))
        assert not covered[middle_of_pause]
        inside = covered[at + 2 * RATE + RATE // 2 : at + 2 * RATE + length - RATE // 2]
        assert inside.mean() > 0.95
        at += 2 * RATE + length


def test_the_size_of_the_blocks_changes_nothing(spoken: Samples) -> None:
    """Decoders hand over blocks of any size."""
    places = [[(s.start, s.end) for s in find_speech(blocks(spoken, size))] for size in (1600, 12345, len(spoken))]
    assert places[0] == places[1] == places[2]


def test_long_silence_changes_nothing_of_what_is_heard(spoken: Samples) -> None:
    """An hour's silence is passed over by its level; the speech after it is found at its place."""
    long = np.concatenate([spoken, white_noise(300, 0.0005, 9), spoken])
    short = [(s.start, s.end) for s in find_speech(blocks(spoken, RATE))]
    found = [(s.start, s.end) for s in find_speech(blocks(long, RATE))]
    shift = len(spoken) + 300 * RATE
    late = [(a - shift, b - shift) for a, b in found if a >= shift]
    assert len(late) == len(short)
    assert all(abs(a - c) <= RATE * 0.4 and abs(b - d) <= RATE * 0.4
               for (a, b), (c, d) in zip(late, short, strict=True))


def test_speech_without_a_pause_is_cut_before_a_window_is_full() -> None:
    """Two sentences looped without a gap: no span is longer than the limit and no sample is lost between spans."""
    voice = np.concatenate([samples_of(p) for p, _ in human_sentences()[:2]] * 6)
    spans = list(find_speech(blocks(voice, RATE)))
    assert len(spans) > 3
    assert all(len(s.samples) <= LONGEST_S * RATE + FRAME for s in spans)
    for before, after in itertools.pairwise(spans):
        assert after.start >= before.end


@pytest.mark.parametrize("sound", [silence, white_noise, brown_noise, wind, music])
def test_no_voice_is_found_in_a_noise(sound: object) -> None:
    """Silence, hiss, rumble, wind and a tune hold no speech at all."""
    assert list(find_speech(iter([sound(40.0)]))) == []  # type: ignore[operator]


def test_coughs_hold_next_to_no_voice() -> None:
    """At most a tenth of a second of a minute of coughs passes for speech."""
    assert sum(s.voiced for s in find_speech(iter([coughs(60.0)]))) <= 0.1


def span(start: float, seconds: float) -> Span:
    return Span(int(start * RATE), np.full(int(seconds * RATE), start, np.float32), seconds)


def test_short_spans_share_a_window_and_keep_their_places() -> None:
    """Three spans of five seconds in one window; a word's time leads back to the span that holds its middle."""
    [window] = pack(1, [span(10, 5), span(100, 5), span(200, 5)])
    assert window.seconds == 15.0
    assert window.place(1.0, 1.5) == (11.0, 11.5)
    assert window.place(6.0, 6.5) == (101.0, 101.5)
    assert window.place(10.2, 10.8) == (pytest.approx(200.2), pytest.approx(200.8))


def test_a_word_across_a_seam_stays_in_one_span() -> None:
    """Its time is cut at the seam, never stretched over the silence that was left out."""
    [window] = pack(1, [span(10, 5), span(100, 5)])
    assert window.place(4.6, 5.2) == (14.6, 15.0)
    assert window.place(4.9, 5.6) == (100.0, 100.6)


def test_a_window_is_never_fuller_than_the_model_hears() -> None:
    """Spans go whole into the next window where they would not fit."""
    windows: list[Window] = list(pack(1, [span(20 * i, 12) for i in range(5)]))
    assert [w.seconds for w in windows] == [24.0, 24.0, 12.0]
    assert all(w.seconds <= WINDOW_S for w in windows)
    assert len({w.key for w in windows}) == 3
