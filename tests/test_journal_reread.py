"""Words written anew bring the values that they tell, through the journal alone."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests import correcting
from tests.correcting import correct, offsets, passage
from voicedraft.correct.reread import Reader
from voicedraft.correct.session import Session
from voicedraft.correct.telling import tell
from voicedraft.draft.document import Review
from voicedraft.draft.explain import EVIDENCE, explain
from voicedraft.draft.write import READING, to_json, write_text
from voicedraft.errors import ModelError


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    with Session(correcting.draft(tmp_path, correcting.really_read()), write=False) as opened:
        yield opened


def _fix(session: Session, within: str, old: str, new: str) -> Any:
    entry = passage(session.review, within)
    return correct(session, "words.fix", passage=entry.id, **offsets(entry, old), text=new)


def _flavours(review: Review) -> dict[tuple[str, str], tuple[str, str | None]]:
    return {(d.stage, d.term): (d.status, d.intensity) for d in review.descriptors}


def test_a_misheard_flavour_gives_way_to_the_one_that_was_said(session: Session) -> None:
    """The wrong one goes, the right one comes, quoted from the new word at its own time; undo and redo do both."""
    before = session.review
    assert ("second", "coco") in _flavours(before)
    made = _fix(session, "coco comes", "coco", "cocoa")
    after = _flavours(session.review)
    assert ("second", "coco") not in after
    assert after["second", "cocoa"] == ("present", "medium")
    cocoa = next(d for d in session.review.descriptors if d.term == "cocoa")
    word = next(w for w in passage(session.review, "cocoa").words if w.text == "cocoa")
    assert "cocoa" in cocoa.said
    assert cocoa.start <= word.start < word.end <= cocoa.end
    assert cocoa.family == "cocoa"
    assert tell(made.event).endswith("“cocoa” in place of “coco”; read from them: cocoa (second third, clear); "
                                     "gone: coco (second third, clear)")
    session.undo(session.revision)
    assert to_json(session.review) == to_json(before)
    session.redo(session.revision)
    assert _flavours(session.review) == after


def test_a_misheard_price_score_drink_leaf_and_strength_come_right(session: Session) -> None:
    """Each kind of value follows its words; all taken back, the draft is the first one to the byte."""
    before = to_json(session.review)
    _fix(session, "nine tea", "nine tea", "ninety")
    _fix(session, "out of ton", "ton", "ten")
    _fix(session, "aged gum", "gum", "rum.")
    _fix(session, "hay bano", "hay bano", "habano")
    _fix(session, "it is medium", "medium", "full")
    review = session.review
    assert review.facts["price_single"].value == {"amount": 90.0, "currency": "USD"}
    assert review.facts["price_single"].passage == passage(review, "ninety").id
    assert str(review.facts["wrapper"].value).lower() == "habano"
    assert [(s.aspect, s.value, s.out_of) for s in review.scores] == [("draw", 9, 10)]
    assert [p.value for p in review.pairings.drink] == ["aged rum"]
    assert (review.strength["first"].low, review.strength["first"].high) == (5, 5)
    assert "Scores" not in review.not_mentioned
    while session.can_undo():
        session.undo(session.revision)
    assert to_json(session.review) == before


def test_what_the_reviewer_set_is_never_overwritten(session: Session) -> None:
    """A price, a flavour and a strength set by hand stay, whatever the words say after them."""
    price, cocoa = passage(session.review, "nine tea"), passage(session.review, "coco comes")
    correct(session, "fact.set", name="price_single", value={"amount": 15, "currency": "EUR"},
            source={"passage": price.id})
    correct(session, "descriptor.add", source={"passage": cocoa.id, **offsets(cocoa, "coco")},
            new={"term": "cocoa", "stage": "second", "intensity": "hint"})
    correct(session, "strength.set", stage="first", low=2, high=2)
    _fix(session, "nine tea", "nine tea", "ninety")
    _fix(session, "coco comes", "coco", "cocoa")
    made = _fix(session, "it is medium", "medium", "full")
    assert session.review.facts["price_single"].value == {"amount": 15, "currency": "EUR"}
    assert _flavours(session.review)["second", "cocoa"] == ("present", "hint")
    assert session.review.strength["first"].low == 2
    assert "strength" not in tell(made.event)
    for event in [e for e in session.contents.events if e.what == "fact.set"]:
        session.undo(session.revision, event.id)
    assert session.review.facts["price_single"].value == {"amount": 90, "currency": "USD"}


def test_what_the_reviewer_took_out_comes_back_only_where_the_new_words_say_it(session: Session) -> None:
    """A word fixed beside it does not bring it; written anew itself, it is there."""
    correct(session, "descriptor.remove", key={"stage": "first", "term": "cedar"})
    made = _fix(session, "it is medium", "medium", "full")
    assert ("first", "cedar") not in _flavours(session.review)
    assert "cedar" not in tell(made.event)
    correct(session, "descriptor.remove", key={"stage": "second", "term": "coco"})
    _fix(session, "coco comes", "coco", "cocoa")
    correct(session, "descriptor.remove", key={"stage": "second", "term": "cocoa"})
    _fix(session, "cocoa comes", "cocoa", "dark cocoa")
    entry = passage(session.review, "dark cocoa")
    place = next(i for i, w in enumerate(entry.words) if w.text == "dark cocoa")
    correct(session, "words.fix", passage=entry.id, first=place, last=place + 1, text="cocoa")
    assert ("second", "cocoa") in _flavours(session.review)


def test_values_of_other_words_stay_the_very_same(session: Session) -> None:
    """Nothing else of the draft moves when one word is fixed."""
    before = session.review
    _fix(session, "coco comes", "coco", "cocoa")
    after = session.review
    assert after.facts == before.facts
    assert after.scores == before.scores
    assert after.strength == before.strength
    assert {k: v for k, v in _flavours(after).items() if "coco" not in k[1]} == {
        k: v for k, v in _flavours(before).items() if "coco" not in k[1]}


def test_a_replay_reads_nothing_again(session: Session, monkeypatch: pytest.MonkeyPatch) -> None:
    """The values lie in the journal: a session opened later gives the same draft without any model."""
    _fix(session, "nine tea", "nine tea", "ninety")
    _fix(session, "coco comes", "coco", "cocoa")

    def fail(*arguments: object) -> None:
        raise AssertionError("a replay must not read")

    monkeypatch.setattr(Reader, "read", fail)
    with Session(session.directory, write=False) as again:
        assert to_json(again.review) == to_json(session.review)


def test_rewritten_words_and_their_values_survive_another_transcription(session: Session) -> None:
    """Heard the same wrong way again, the words and their values are laid over; heard right, nothing comes twice."""
    _fix(session, "nine tea", "nine tea", "ninety")
    _fix(session, "coco comes", "coco", "cocoa")
    first, second = correcting.MISHEARD
    worse = ((("Hello there once more.", "aside", None), *first), second)
    better = (first, tuple((text.replace("coco comes", "cocoa comes"), *label) for text, *label in second))
    for takes in (worse, better):
        write_text(session.directory / READING, to_json(correcting.really_read(takes)))  # type: ignore[arg-type]
        with Session(session.directory, write=False) as again:
            review = again.review
            assert review.facts["price_single"].value == {"amount": 90.0, "currency": "USD"}
            assert review.facts["price_single"].passage == passage(review, "ninety").id
            assert [d.term for d in review.descriptors if d.stage == "second" and d.status == "present"] == ["cocoa"]
            assert again.unplaced == ()


def test_without_the_models_the_words_are_kept_and_their_passage_is_marked(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The correction is saved; the passage is among those to look at first, with the reason."""

    def missing(*arguments: object) -> None:
        raise ModelError("The model en-core-web-sm is not installed.")

    monkeypatch.setattr(Reader, "read", missing)
    made = _fix(session, "nine tea", "nine tea", "ninety")
    fixed = passage(session.review, "ninety dollars")
    assert fixed.look_first
    assert fixed.evidence[0] == "words: written anew; the values here were read from the words before"
    assert "could not be read again" in tell(made.event)
    assert made.event.new["unread"] == "The model en-core-web-sm is not installed."


def test_a_repair_taken_back_takes_its_value_along(session: Session, tmp_path: Path) -> None:
    """With the words as heard, the wrapper that was read from the repair is gone; undo brings it back."""
    with Session(correcting.draft(tmp_path / "repaired"), write=False) as repaired:
        entry = passage(repaired.review, "habano")
        correct(repaired, "words.revert", passage=entry.id, **offsets(entry, "habano"))
        assert "habano" not in str(repaired.review.facts.get("wrapper"))
        repaired.undo(repaired.revision)
        assert repaired.review.facts["wrapper"].value == "habano"


def test_the_evidence_of_a_value_read_anew_is_its_own(session: Session) -> None:
    """`voicedraft explain` gives the reasons of the words as they stand, not those kept of the first reading."""
    kept = {"fact:price_single": [{"kind": "grammar", "detail": "of the first reading", "weight": 0, "words": "9"}]}
    write_text(session.directory / EVIDENCE, json.dumps(kept))
    _fix(session, "nine tea", "nine tea", "ninety")
    (price,) = explain(session.directory, session.review, "price_single")
    first = price.reasons[0]
    assert (first.kind, first.detail) == ("words", "read from the words as the reviewer wrote them")
    assert len(price.reasons) > 1
    assert all(r.detail != "of the first reading" for r in price.reasons)
    (vitola,) = explain(session.directory, session.review, "vitola")
    assert vitola.reasons == ()


@pytest.mark.parametrize("text", ["🙂 ‮ ١٢٣", "a" * 2000, "$ $ $ 9 9 9", "...", "\u0301\u0301", "nine " * 300])
def test_whatever_is_written_the_words_are_saved(session: Session, text: str) -> None:
    """No text that is accepted as words makes the reading fail."""
    made = _fix(session, "nine tea", "nine tea", text)
    assert "unread" not in made.event.new
    assert " ".join(text.split()) in session.review.passages[1].text


@pytest.mark.parametrize(("model", "currency"), [("base", "USD"), ("", None)])
def test_words_read_anew_are_still_spelt_by_who_wrote_them(tmp_path: Path, model: str, currency: str | None) -> None:
    """Dollars beside "grey" stay American where a speech model wrote the words, in the draft and after a correction."""
    told = correcting.really_read(((
        ("The colour is grey and the flavour is grand.", "appearance", None),
        ("I paid nine tea dollars for a single stick.", "background", None),
    ),))
    told = told.model_copy(update={"source": told.source.model_copy(update={"model": model})})
    with Session(correcting.draft(tmp_path, told), write=False) as opened:
        _fix(opened, "nine tea", "nine tea", "ninety")
        value: Any = opened.review.facts["price_single"].value
        assert value["amount"] == 90
        assert value.get("currency") == currency
