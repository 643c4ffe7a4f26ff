"""Gold sessions as transcripts, and the splitting of transcripts into sentences."""

from __future__ import annotations

import html
import json
from dataclasses import replace
from pathlib import Path

import pytest
import transcript as reference

from tests import tiny
from tests.conftest import GOLD
from voicedraft.evaluate.gold_vtt import heard, to_vtt
from voicedraft.read.sentences import LONG, split
from voicedraft.types import Transcript


@pytest.mark.parametrize("path", GOLD, ids=lambda p: p.stem)
def test_both_styles_are_those_of_the_reference_transcript_maker(path: Path) -> None:
    """Source: tests/reference/transcript.py, which shares no code with the program (but leaves & and < bare)."""
    gold = json.loads(path.read_text(encoding="utf-8"))
    assert html.unescape(to_vtt(gold, "sentences")) == html.unescape(reference.from_gold(gold, None))
    assert html.unescape(to_vtt(gold, "cues")) == html.unescape(reference.from_gold(gold, 9))


@pytest.mark.parametrize("path", GOLD, ids=lambda p: p.stem)
@pytest.mark.parametrize("style", ["sentences", "cues"])
def test_no_word_is_lost_and_takes_are_found_again(path: Path, style: str) -> None:
    """Words in order, as many takes as the session has, and sentences that cover every word once."""
    gold = json.loads(path.read_text(encoding="utf-8"))
    spoken = heard(gold, style)  # type: ignore[arg-type]
    assert [w.text for w in spoken.words] == [w for t in gold["takes"] for s in t["sentences"] for w in s["t"].split()]
    assert len(spoken.takes) == len(gold["takes"])
    sentences = split(spoken)
    assert [(s.first, s.last) for s in sentences] == [
        (a, b) for a, b in zip([0, *(s.last for s in sentences)], [s.last for s in sentences], strict=False)
    ]
    assert sentences[-1].last == len(spoken.words)


def test_breathless_speech_is_split_at_clauses() -> None:
    """A hundred words without a full stop give several sentences, each cut before a conjunction or after a comma."""
    clause = "and the pepper has gone a long way back now, but the cedar is still there on the lips"
    sentences = split(tiny.transcript([" ".join([clause] * 6)]))
    assert len(sentences) >= 3
    assert all(s.last - s.first <= LONG for s in sentences)
    assert {s.text.split()[0] for s in sentences} <= {"and", "but"}


def test_an_abbreviation_ends_no_sentence() -> None:
    """Mr. and St. are followed by more of the same sentence."""
    assert len(split(tiny.transcript(["I had it from Mr. Pym of St. Bees."]))) == 1


def test_a_recognisers_pause_ends_a_sentence_and_a_shared_out_gap_does_not() -> None:
    """1.2 s of silence between words without a full stop: an end where times are heard, none where shared out."""
    spoken = tiny.transcript(["so the first third", "the pepper leads"])
    gap = [replace(w, start=w.start + 0.6, end=w.end + 0.6) if i >= 4 else w for i, w in enumerate(spoken.words)]
    assert len(split(Transcript(tuple(gap), spoken.takes))) == 1
    assert len(split(Transcript(tuple(replace(w, probability=0.9) for w in gap), spoken.takes))) == 2
