"""Strength of each third on mild 1 to full 5."""

from __future__ import annotations

import pytest

from tests.facts_cases import Case, cases, table
from voicedraft.lexicon import load_lexicon
from voicedraft.read.scale import read_expression
from voicedraft.read.strength import read_strength

SAID = [*cases("strength/said"), *cases("strength/speakers"), *cases("strength/battery"),
        *cases("strength/battery2"), *cases("strength/battery3"), *cases("strength/battery4"),
        *cases("strength/battery5"), *cases("strength/battery6"), *cases("strength/battery7")]


def _read(case: Case) -> dict[str, list[int]]:
    analysis, passages = case.spoken()
    return {s.stage: [s.low, s.high] for s in read_strength(analysis, passages, load_lexicon())}


@pytest.mark.parametrize(("said", "low", "high"), table("strength/expressions"))
def test_an_expression_gives_its_range(said: str, low: str, high: str) -> None:
    """Each expression of the table is read as its range of steps."""
    assert read_expression(said, load_lexicon().table("strength")) == (int(low), int(high))


@pytest.mark.parametrize("case", SAID, ids=lambda c: c.title)
def test_strength_said_is_read_by_third(case: Case) -> None:
    """Exactly the thirds of which strength was told have one."""
    assert _read(case) == case.expected


@pytest.mark.parametrize("case", cases("strength/nothing"), ids=lambda c: c.title)
def test_sentences_that_tell_no_strength_give_none(case: Case) -> None:
    """Body, finish, flavours, ash and other cigars have no part in the strength."""
    assert _read(case) == {}


@pytest.mark.parametrize("case", cases("strength/known_failures"), ids=lambda c: c.title)
@pytest.mark.xfail(strict=True, reason="not read yet; take the case over to said.md once it is")
def test_known_failures(case: Case) -> None:
    """Ways of telling strength that we do not read yet."""
    assert _read(case) == case.expected


def test_strength_leads_to_its_words() -> None:
    """The words of a strength are the transcript's own, within the passage that is named."""
    case = cases("strength/said")[0]
    analysis, passages = case.spoken()
    for entry in read_strength(analysis, passages, load_lexicon()):
        passage = next(p for p in passages if p.id == entry.passage)
        assert passage.first <= entry.first < entry.last <= passage.last
        assert entry.said == analysis.transcript.text(entry.first, entry.last)
