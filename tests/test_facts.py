"""Facts of the cigar and the session, read from what was said."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.facts_cases import Case, cases
from tests.tiny import reading
from voicedraft.lexicon import load_lexicon
from voicedraft.read.analysis import analyse
from voicedraft.read.facts import read_facts
from voicedraft.types import Fact, Section, Stage


def _facts(case: Case) -> dict[str, Fact]:
    analysis, passages = case.spoken()
    return read_facts(analysis, passages, load_lexicon())


def _stated(case: Case) -> dict[str, Any]:
    return {name: fact.value for name, fact in _facts(case).items() if not fact.guessed}


SAID = [
    case
    for name in ("said", "talk", "speakers", "corrected", "pieced", "acts", "currency", "near_misses")
    for case in cases(f"facts/{name}")
]


@pytest.mark.parametrize("case", SAID, ids=lambda c: c.title)
def test_facts_said_are_read_and_no_others(case: Case) -> None:
    """Exactly the facts that the golden case names are stated, with their values."""
    assert _stated(case) == case.expected


@pytest.mark.parametrize("case", cases("facts/nothing"), ids=lambda c: c.title)
def test_sentences_without_a_fact_give_none(case: Case) -> None:
    """Numbers, places and leaf names in other talk are no facts."""
    assert _stated(case) == {}


@pytest.mark.parametrize("case", cases("facts/others"), ids=lambda c: c.title)
def test_what_is_told_of_others_is_no_fact(case: Case) -> None:
    """Another cigar's size, a friend's price, a wish, a rumour, a candle lit again: nothing is stated."""
    assert _stated(case) == {}


@pytest.mark.parametrize("case", cases("facts/others_known_failures"), ids=lambda c: c.title)
@pytest.mark.xfail(strict=True, reason="still stated; take the case over to others.md once it is not")
def test_known_failures_of_others(case: Case) -> None:
    """What is told of others and we still state."""
    assert _stated(case) == {}


@pytest.mark.parametrize("case", cases("facts/known_failures"), ids=lambda c: c.title)
@pytest.mark.xfail(strict=True, reason="not read yet; take the case over to said.md once it is")
def test_known_failures(case: Case) -> None:
    """What speakers say and we do not read yet."""
    assert _stated(case) == case.expected


def test_a_guess_that_was_never_confirmed_is_marked() -> None:
    """A blind taster's guess is kept beside the facts and never stated."""
    case = next(c for c in cases("facts/talk") if c.title == "a guess that is never confirmed")
    facts = _facts(case)
    assert facts["wrapper"].guessed
    assert facts["wrapper"].value == "Cameroon"


@pytest.mark.parametrize("case", cases("facts/guesses"), ids=lambda c: c.title)
def test_guesses_are_marked_and_never_stated(case: Case) -> None:
    """A value under "I guess", "probably", "might be" or "maybe" is kept as a guess; nothing of it is stated."""
    facts = _facts(case)
    assert {name: fact.value for name, fact in facts.items() if fact.guessed} == case.expected
    assert _stated(case) == {}


def test_other_sizes_and_prices_are_listed_beside_the_fact() -> None:
    """Sizes of the rest of the line are `others` of the length and ring gauge that were smoked."""
    told = reading([("They do it as a petit corona at four and a half by forty, a churchill at seven by forty-seven, "
                     "and the one I'm smoking, the robusto, at five by fifty.", "background", None)])
    facts = read_facts(analyse(told.transcript), told.passages, load_lexicon())
    assert facts["ring_gauge"].others == (40, 47)


def test_another_value_leads_to_its_own_words() -> None:
    """A size of the rest of the line is shown with the words and the passage that it was said in."""
    told = reading([
        ("It's the toro, six by fifty-two.", "background", None), ("Lovely day.", "aside", None),
        ("They also make a gordo, six by sixty.", "background", None),
    ])
    ring = read_facts(analyse(told.transcript), told.passages, load_lexicon())["ring_gauge"]
    assert ring.value == 52
    assert [(o.value, o.passage) for o in ring.others_said] == [(60, told.passages[-1].id)]
    assert "sixty" in ring.others_said[0].said


def test_every_fact_leads_to_its_words_and_passage() -> None:
    """The words of a fact are the transcript's own, in the passage that is named, with a reason."""
    told = reading([
        ("It's the toro, six by fifty-two.", "background", None), ("Lovely day.", "aside", None),
        ("They're nine pounds fifty a stick.", "value", None),
    ])
    facts = read_facts(analyse(told.transcript), told.passages, load_lexicon())
    by_id = {p.id: p for p in told.passages}
    assert set(facts) == {"vitola", "length_mm", "ring_gauge", "price_single"}
    for fact in facts.values():
        passage = by_id[fact.passage]
        assert passage.first <= fact.first < fact.last <= passage.last
        assert fact.said == told.transcript.text(fact.first, fact.last)
        assert fact.evidence
    assert facts["price_single"].said == "nine pounds fifty"


def test_an_empty_session_has_no_facts() -> None:
    """Nothing said, nothing read."""
    told = reading([])
    assert read_facts(analyse(told.transcript), told.passages, load_lexicon()) == {}


@pytest.mark.parametrize(("model", "currency"), [("", None), ("base", "USD")])
def test_spelling_tells_of_the_speaker_only_where_somebody_spelt(model: str, currency: str | None) -> None:
    """A speech model writes "grey" and "flavour" for an American too: his dollars stay American."""
    rows: list[tuple[str, Section, Stage | None]] = [
        ("The colour is grey and the flavour is grand.", "appearance", None),
        ("They're twelve dollars each in the shop.", "value", None),
    ]
    told = reading(rows)
    spoken = replace(told.transcript, model=model)
    price = read_facts(analyse(spoken), told.passages, load_lexicon())["price_single"].value
    assert price.get("currency") == currency
