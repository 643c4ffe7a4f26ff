"""Sections and stages: every word has one, the evidence points at words, and the weights are made again alike."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from voicedraft.errors import ModelError
from voicedraft.read.analysis import Analysis, analyse
from voicedraft.read.sections import best, read_sections
from voicedraft.read.sections.chain import posteriors
from voicedraft.read.sections.decode import confidence
from voicedraft.read.sections.labels import LABELS, STATES, allowed, label
from voicedraft.read.sections.place import NEW_TAKE, SAME, WITHIN, place, soft
from voicedraft.read.sections.weights import FILE, load, save, shipped
from voicedraft.read.sentences import split
from voicedraft.types import SECTIONS, Take, Transcript, Word

SAID = (
    ("Good evening, the recorder is on.", "The wrapper is Ecuadorian, the binder Nicaraguan, six by fifty.",
     "Appearance, then.", "Dark brown, oily, with a thin vein."),
    ("Before I light it, the foot smells of cedar and hay.", "Cold draw is easy, with raisin on it."),
    ("First third, and it's black pepper up front.", "Behind that there's walnut, and strength is medium.",
     "The burn line is straight and the ash is white."),
    ("It costs nine pounds a stick.", "That's me, good night."),
)


def spoken(takes: tuple[tuple[str, ...], ...] = SAID, gap: float = 1200.0) -> Transcript:
    """A transcript of the given takes, a word every 0.4 s, `gap` seconds of silence between takes."""
    words: list[Word] = []
    now = 0.0
    spans = []
    for n, sentences in enumerate(takes, 1):
        begin = now
        for text in " ".join(sentences).split():
            words.append(Word(text, now, now + 0.36, n, text))
            now += 0.4
        spans.append(Take(n, begin, now, "told"))
        now += gap
    return Transcript(tuple(words), tuple(spans))


@pytest.fixture(scope="module")
def analysis() -> Analysis:
    return analyse(spoken())


def test_passages_cover_every_word_in_order_and_never_cross_a_take(analysis: Analysis) -> None:
    """The passages of a session lie end to end from the first word to the last; each lies in one take."""
    passages = read_sections(analysis)
    assert passages[0].first == 0
    assert passages[-1].last == len(analysis.transcript.words)
    assert all(a.last == b.first for a, b in pairwise(passages))
    assert [p.id for p in passages] == [f"p{i}" for i in range(1, len(passages) + 1)]
    for p in passages:
        assert {w.take for w in analysis.transcript.words[p.first : p.last]} == {p.take}


def test_a_plain_session_is_read_as_announced(analysis: Analysis) -> None:
    """Sections that the speaker announces, or that can be nothing else, are read so, with the stage of the take."""
    said = {analysis.transcript.text(p.first, p.last).split()[0]: (p.section, p.stage) for p in read_sections(analysis)}
    assert said["Dark"] == ("appearance", None)
    assert said["Before"] == ("prelight", "prelight")
    assert said["First"] == ("first_third", "first")
    assert said["It"] == ("value", None)
    assert said["That's"] == ("aside", None)


def test_an_empty_transcript_gives_no_passages() -> None:
    """Nothing said, nothing read."""
    assert read_sections(Analysis(Transcript((), ()), (), (), ())) == ()


def test_a_single_word_is_a_passage() -> None:
    """One word alone is read, with confidence between 0 and 1."""
    (passage,) = read_sections(analyse(spoken((("Pepper.",),))))
    assert (passage.first, passage.last) == (0, 1)
    assert 0.0 < passage.confidence <= 1.0


def test_evidence_is_weighed_sorted_and_points_into_its_passage(analysis: Analysis) -> None:
    """Reasons come weightiest first, each within the words of its passage; two annotated sentences stand beside."""
    for p in read_sections(analysis):
        weights = [abs(e.weight) for e in p.evidence if e.weight]
        assert weights == sorted(weights, reverse=True)
        assert all(p.first <= e.first < e.last <= p.last for e in p.evidence)
        assert sum(e.detail.startswith("like “") for e in p.evidence) == 2
        assert p.section in SECTIONS


def test_reading_twice_gives_the_same(analysis: Analysis) -> None:
    """Nothing is left to chance."""
    assert read_sections(analysis) == read_sections(analysis)


def test_states_and_labels_agree() -> None:
    """An annotated label allows only states that stand for it; a null stage allows every phase."""
    assert {label(k) for k in np.flatnonzero(allowed("burn", "second"))} == {("burn", "second")}
    assert {label(k) for k in np.flatnonzero(allowed("final_third", "final"))} == {("final_third", "final")}
    assert allowed("aside", None).sum() == 5
    assert {section for section, _ in LABELS} == set(SECTIONS)


def test_chain_gives_the_probabilities_of_all_walks() -> None:
    """Forward and backward passes agree with adding up every walk one by one."""
    rng = np.random.default_rng(3)
    k = len(STATES)
    emissions, moves, start = rng.normal(size=(3, k)), rng.normal(size=(3, k, k)), rng.normal(size=k)
    kinds = (WITHIN, NEW_TAKE, SAME)
    walks = np.exp(
        (start + emissions[0])[:, None, None] + (moves[kinds[1]] + emissions[1][None, :])[:, :, None]
        + (moves[kinds[2]] + emissions[2][None, :])[None, :, :]
    )
    total = walks.sum()
    wanted = np.stack([walks.sum(axis=(1, 2)), walks.sum(axis=(0, 2)), walks.sum(axis=(0, 1))]) / total
    np.testing.assert_allclose(posteriors(emissions, moves, start, kinds), wanted, rtol=1e-9)


def test_best_takes_the_likeliest_section_before_its_stage() -> None:
    """Two stages of burn that share the probability outweigh one likelier label of another section."""
    row = np.zeros((1, len(LABELS)))
    row[0, LABELS.index(("burn", "first"))] = 0.3
    row[0, LABELS.index(("burn", "second"))] = 0.25
    row[0, LABELS.index(("aside", None))] = 0.45
    assert LABELS[best(row)[0]] == ("burn", "first")


def test_confidence_at_temperature_one_is_the_probability() -> None:
    """A temperature above one makes the same reading less sure, below one surer."""
    row = np.array([[0.7, 0.2, 0.1]])
    assert confidence(row, 1.0)[0] == pytest.approx(0.7)
    assert confidence(row, 2.0)[0] < 0.7 < confidence(row, 0.5)[0]


def test_place_tells_takes_clauses_and_soft_steps() -> None:
    """A new take, a clause cut from a long sentence, and a value between two knots are told as such."""
    long = "and it is cedar, " * 12
    kinds = place(split(spoken(((long + "done.", "Next."), ("Later.",))))).kinds
    assert kinds[0] == WITHIN
    assert SAME in kinds
    assert kinds[-1] == NEW_TAKE
    np.testing.assert_allclose(soft(0.25, (0, 1, 2)), [0.75, 0.25, 0.0])
    np.testing.assert_allclose(soft(9, (0, 1, 2)), [0.0, 0.0, 1.0])


def test_shipped_weights_are_small_and_survive_writing(tmp_path: Path) -> None:
    """The shipped file is below 2 MB, and writing what was read gives the same bytes."""
    assert FILE.stat().st_size < 2_000_000
    copy = tmp_path / "again.npz"
    save(load(FILE), copy)
    second = tmp_path / "second.npz"
    save(load(copy), second)
    assert copy.read_bytes() == second.read_bytes()
    assert 0.0 < shipped().look_first < 1.0


def test_broken_weights_are_refused_by_name(tmp_path: Path) -> None:
    """A file that is no archive is named in the message, with the next step."""
    file = tmp_path / "sections.npz"
    file.write_bytes(b"nothing of the kind")
    with pytest.raises(ModelError, match=r"sections\.npz cannot be read .*Install voicedraft again"):
        load(file)


def test_training_twice_gives_equal_bytes(
    gold_sessions: list[dict[str, Any]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The training script makes the same file from the same sessions, byte for byte (fewer inner fits, to be quick)."""
    from voicedraft.train import sections
    from voicedraft.train.sections import main

    for name in ("FOLDS", "CHAIN_FOLDS", "PARTS"):
        monkeypatch.setattr(sections, name, 2)
    paths = []
    for gold in gold_sessions[:6]:
        short = {**gold, "takes": [{**t, "sentences": t["sentences"][:6]} for t in gold["takes"]]}
        paths.append(tmp_path / f"{gold['id']}.json")
        paths[-1].write_text(json.dumps(short), encoding="utf-8")
    files = [tmp_path / "one.npz", tmp_path / "two.npz"]
    for file in files:
        assert main([*map(str, paths), "--output", str(file)]) == 0
    assert files[0].read_bytes() == files[1].read_bytes()
    assert load(files[0]).near is not None
