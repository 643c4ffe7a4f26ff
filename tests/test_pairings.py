"""Pairings: what goes with the cigar, what is to be avoided, and what is only mentioned."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.facts_cases import Case, cases
from voicedraft.errors import ModelError
from voicedraft.lexicon import load_lexicon
from voicedraft.read.pairings import read_pairings
from voicedraft.read.pairings.model import load, save, shipped

NAMES = ("said", "battery", "battery2", "verdict", "governed", "names", "elsewhere", "own_words", "shape", "limited")
SAID = [case for name in NAMES for case in cases(f"pairings/{name}")]


def _read(case: Case) -> dict[str, list[str]]:
    analysis, passages = case.spoken()
    out: dict[str, list[str]] = {}
    for pairing in read_pairings(analysis, passages, load_lexicon()):
        out.setdefault(pairing.kind, []).append(pairing.value)
    return out


@pytest.mark.parametrize("case", SAID, ids=lambda c: c.title)
def test_pairings_named_are_read_as_said(case: Case) -> None:
    """Exactly the drinks and foods that were named, with their modifiers, without article or measure."""
    assert _read(case) == case.expected


@pytest.mark.parametrize("case", cases("pairings/nothing"), ids=lambda c: c.title)
def test_sentences_that_name_no_pairing_give_none(case: Case) -> None:
    """Flavours, chatter, memories and colours are no pairings."""
    assert _read(case) == {}


@pytest.mark.parametrize("case", cases("pairings/known_failures"), ids=lambda c: c.title)
@pytest.mark.xfail(strict=True, reason="not read yet; take the case over to said.md once it is")
def test_known_failures(case: Case) -> None:
    """Ways of naming a pairing that we do not read yet."""
    assert _read(case) == case.expected


@pytest.mark.parametrize("case", cases("pairings/said"), ids=lambda c: c.title)
def test_a_pairing_leads_to_its_words(case: Case) -> None:
    """The words of a pairing are the transcript's own, and its passage and evidence are named."""
    analysis, passages = case.spoken()
    for entry in read_pairings(analysis, passages, load_lexicon()):
        assert entry.said == analysis.transcript.text(entry.first, entry.last)
        assert entry.value.lower() in entry.said.lower()
        assert entry.passage
        assert {e.kind for e in entry.evidence} >= {"vector", "model", "grammar"}


def test_an_empty_session_has_no_pairings() -> None:
    """No words, no pairings."""
    analysis, passages = Case("empty", (), {}).spoken()
    assert read_pairings(analysis, passages, load_lexicon()) == ()


def test_weights_written_again_are_the_same_bytes(tmp_path: Path) -> None:
    """Equal weights give equal files, and are read back as they were."""
    save(shipped(), tmp_path / "a")
    save(load(tmp_path / "a"), tmp_path / "b")
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes()
    assert load(tmp_path / "b").known == shipped().known


def test_broken_weights_are_refused_by_name(tmp_path: Path) -> None:
    """A file that is no weights file names itself and the next step."""
    (tmp_path / "bad").write_bytes(b"nothing")
    with pytest.raises(ModelError, match=r"The pairing weights bad cannot be read .*Install voicedraft again"):
        load(tmp_path / "bad")
