"""Scores: given, refused, supposed, corrected, of other cigars."""

from __future__ import annotations

import pytest

from tests.facts_cases import Case, cases
from voicedraft.lexicon import load_lexicon
from voicedraft.read.scores import read_scores, word_lists
from voicedraft.read.scores.amounts import without_amounts
from voicedraft.read.scores.decide import Given, Told
from voicedraft.read.scores.line import lines
from voicedraft.train.passages import Row

_FILES = (
    "said", "battery", "battery2", "battery3", "by_another", "unchanged", "others", "retouched", "taken_up",
    "not_taken_up",
)
SAID = [case for name in _FILES for case in cases(f"scores/{name}")]


def _read(case: Case) -> dict[str, list[float]]:
    analysis, passages = case.spoken()
    return {s.aspect: [s.value, s.out_of] for s in read_scores(analysis, passages, load_lexicon())}


@pytest.mark.parametrize("case", SAID, ids=lambda c: c.title)
def test_scores_given_are_read_with_their_scale(case: Case) -> None:
    """Exactly the aspects that were scored have a score, the speaker's last word on each."""
    assert _read(case) == case.expected


@pytest.mark.parametrize("case", cases("scores/nothing"), ids=lambda c: c.title)
def test_sentences_that_give_no_score_give_none(case: Case) -> None:
    """Intensities, wishes, other cigars, other people, counts and prices are no scores."""
    assert _read(case) == {}


@pytest.mark.parametrize("case", cases("scores/known_failures"), ids=lambda c: c.title)
@pytest.mark.xfail(strict=True, reason="not read yet; take the case over to said.md once it is")
def test_known_failures(case: Case) -> None:
    """Ways of scoring that we do not read yet."""
    assert _read(case) == case.expected


@pytest.mark.parametrize("case", cases("scores/said"), ids=lambda c: c.title)
def test_a_score_leads_to_its_words(case: Case) -> None:
    """The words of a score lie within the passage that is named."""
    analysis, passages = case.spoken()
    for entry in read_scores(analysis, passages, load_lexicon()):
        passage = next(p for p in passages if p.id == entry.passage)
        assert passage.first <= entry.first < entry.last <= passage.last
        assert entry.evidence


def test_an_empty_session_has_no_scores() -> None:
    """No words, no scores."""
    analysis, passages = Case("empty", (), {}).spoken()
    assert read_scores(analysis, passages, load_lexicon()) == ()


def test_a_scale_of_amounts_gives_no_marks_among_flavours() -> None:
    """Where flavours are counted on a scale, what is said there on that scale is no mark; what is called a mark is."""
    rows: tuple[Row, ...] = (
        ("Smell, cold: hay, three of five.", "prelight", "prelight"), ("Leather, two of five.", "prelight", "prelight"),
        ("Cedar, four of five.", "first_third", "first"),
        ("My mark for this third is five of five.", "first_third", "first"),
        ("Flavour, five of five.", "verdict", "after"),
    )
    lexicon = load_lexicon()
    analysis, passages = Case("amounts", rows, {}).spoken()
    told = lines(analysis, passages)
    found = [
        Given(aspect, value, 5.0, 1.0, (), None, None, Told(told[at], told[at].numbers[0].first, 1, "by hand"))
        for aspect, value, at in (("smell", 3.0, 0), ("cedar", 4.0, 2), ("first third", 5.0, 3), ("flavour", 5.0, 4))
    ]
    kept = without_amounts(found, told, lexicon.forms, word_lists(lexicon))
    assert [g.aspect for g in kept] == ["first third", "flavour"]
