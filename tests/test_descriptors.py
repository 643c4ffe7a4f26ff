"""Descriptors read from sentences: golden cases, what must yield nothing, what is not read yet."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.descriptor_cases import Case, cases, lines, told
from voicedraft.read.descriptors.terms import key

READ = cases("descriptors-read")
NOTHING = cases("descriptors-nothing")
FAILING = cases("descriptors-known-failures")


def by_title(case: Case) -> str:
    return case.title


@pytest.mark.parametrize("case", READ, ids=by_title)
def test_what_is_said_is_read(case: Case) -> None:
    """A told passage gives exactly the descriptors that its case lists."""
    _, found = told(case.passages)
    assert lines(tuple(d for d in found if d.stage not in case.beside)) == sorted(case.expected)


@pytest.mark.parametrize("case", NOTHING, ids=by_title)
def test_flavour_words_that_are_no_flavour_of_this_cigar_yield_nothing(case: Case) -> None:
    """Other cigars, look-backs, wishes, food, colours and chatter give no descriptor."""
    assert lines(told(case.passages)[1]) == []


@pytest.mark.parametrize("case", FAILING, ids=by_title)
@pytest.mark.xfail(strict=True, reason="not read yet")
def test_known_failures(case: Case) -> None:
    """What is not read yet is kept here until it is."""
    assert lines(told(case.passages)[1]) == sorted(case.expected)


def test_an_empty_transcript_gives_no_descriptors() -> None:
    """Nothing said, nothing read."""
    assert told(())[1] == ()


@pytest.mark.parametrize("case", READ, ids=by_title)
def test_every_value_leads_back_to_its_words(case: Case) -> None:
    """Span, passage, clause and evidence of a descriptor point at the words that it came from."""
    transcript, found = told(case.passages)
    for d in found:
        spoken = set(key(transcript.text(d.first, d.last)))
        assert spoken <= set(key(" ".join(w.text for w in transcript.words)))
        assert 0 <= d.first < d.last <= len(transcript.words)
        assert d.said
        assert d.evidence
        assert d.passage in {f"p{n + 1}" for n in range(len(case.passages))}
        assert (d.intensity is None) == (d.status != "present")


_WORDS = st.sampled_from([
    "cedar", "no", "a", "hint", "of", "leather", "the", "is", "fading", "gone", "lots", "pepper,", "and", "not",
    "sweet.", "foot", "wrapper", "I", "get", "bonfire", "toffee", "wet", "slate", "coffee", "there's", "my", "last",
    "cigar", "was",
])
_STAGES = st.sampled_from([
    ("prelight", "prelight"), ("first_third", "first"), ("final_third", "final"), ("palate", "after"),
    ("burn", "second"),
])


@given(st.lists(st.tuples(_STAGES, st.lists(_WORDS, min_size=1, max_size=14)), min_size=1, max_size=4))
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_whatever_is_said_nothing_is_invented_and_no_term_stands_twice_in_a_stage(
    spoken: list[tuple[tuple[str, str], list[str]]],
) -> None:
    """The words of every term were said, and a stage holds one entry a term, whatever the words."""
    passages = tuple((section, stage, " ".join(words)) for (section, stage), words in spoken)
    transcript, found = told(passages)
    said = set(key(" ".join(w.text for w in transcript.words)))
    for d in found:
        assert set(key(d.term)) <= said
    entries = [(d.stage, frozenset(key(d.term))) for d in found]
    assert len(entries) == len(set(entries))
