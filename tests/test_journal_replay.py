"""Corrections laid over a later reading: what is kept, what was right already, and what could not be placed."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from tests import correcting
from tests.correcting import FIRST_TAKE, SECOND_TAKE, Row, correct, everything, offsets, passage, spoken
from voicedraft.correct.anchors import Anchor, anchor, locate
from voicedraft.correct.replay import Replayed
from voicedraft.correct.session import Session, reapply
from voicedraft.correct.state import State
from voicedraft.draft.compose import compose
from voicedraft.draft.document import Review
from voicedraft.draft.write import read_review
from voicedraft.types import Reading


def _read_again(*takes: Sequence[Row]) -> Review:
    """The same sound read anew: other words, other passages, no values."""
    transcript, passages = spoken(takes)
    return compose(Reading(transcript, passages))


def _reading_changes(tmp_path: Path, later: Review, *changes: tuple[str, dict[str, object]]) -> Replayed:
    folder = correcting.draft(tmp_path / "draft")
    with Session(folder) as session:
        for what, fields in changes:
            correct(session, what, **fields)
    return reapply(folder, later)


def _label(review: Review, text: str) -> tuple[str, str | None]:
    p = passage(review, text)
    return p.section, p.stage


def test_the_same_reading_keeps_every_correction(tmp_path: Path) -> None:
    """Laying the journal over the same reading again gives the same draft and loses nothing."""
    folder = correcting.draft(tmp_path)
    with Session(folder) as session:
        for step in everything(session):
            step()
        expected = session.review
    again = reapply(folder, correcting.review())
    assert again.review == expected
    assert again.unplaced == ()


def test_a_better_hearing_keeps_the_section_of_words_that_still_exist(tmp_path: Path) -> None:
    """A word heard otherwise, another before it and new ids do not lose a section."""
    later = _read_again(
        (("Well, good evening from the old shed.", "aside", None), *FIRST_TAKE[1:]),
        (SECOND_TAKE[0], ("The burn lines straight, and the draw is easy.", "first_third", "first"), *SECOND_TAKE[2:]),
    )
    done = _reading_changes(tmp_path, later, ("passage.label", {"passage": "p5", "section": "burn", "stage": "first"}))
    assert _label(done.review, "draw is easy") == ("burn", "first")
    assert _label(done.review, "strong cedar") == ("first_third", "first")
    assert done.unplaced == ()


def test_a_section_reaches_exactly_its_words_where_passages_are_cut_otherwise(tmp_path: Path) -> None:
    """Where the later reading has one long passage, it is cut around the corrected words."""
    joined = " ".join(text for text, _, _ in SECOND_TAKE[:3])
    later = _read_again(FIRST_TAKE, ((joined, "first_third", "first"), *SECOND_TAKE[3:]))
    done = _reading_changes(tmp_path, later, ("passage.label", {"passage": "p5", "section": "burn", "stage": "first"}))
    assert [(p.text, p.section) for p in done.review.passages[3:6]] == [
        (SECOND_TAKE[0][0], "first_third"), (SECOND_TAKE[1][0], "burn"), (SECOND_TAKE[2][0], "first_third"),
    ]


def test_a_section_reaches_all_its_words_where_they_are_two_passages_now(tmp_path: Path) -> None:
    """Both get the corrected section."""
    later = _read_again(FIRST_TAKE, (
        SECOND_TAKE[0], ("The burn line is straight", "first_third", "first"),
        ("and the draw is easy.", "palate", "after"), *SECOND_TAKE[2:],
    ))
    done = _reading_changes(tmp_path, later, ("passage.label", {"passage": "p5", "section": "burn", "stage": "first"}))
    assert _label(done.review, "burn line") == _label(done.review, "draw is easy") == ("burn", "first")


def test_what_is_no_longer_heard_is_listed_with_its_reason(tmp_path: Path) -> None:
    """A correction on words that are gone is not laid on others."""
    later = _read_again(FIRST_TAKE, (*SECOND_TAKE[:3], *SECOND_TAKE[4:]))
    done = _reading_changes(
        tmp_path, later, ("passage.aside", {"passage": "p7"}),
        ("words.fix", {"passage": "p7", "first": 1, "last": 2, "text": "cat"}),
        ("pairing.add", {"source": {"passage": "p7"}, "new": {"kind": "food", "value": "dinner"}}),
        ("passage.accept", {"passage": "p1"}),
    )
    assert [(x.event.what, x.reason) for x in done.unplaced] == [
        ("passage.aside", "the words of the passage are not in this reading"),
        ("words.fix", "the words that were written anew are not in this reading"),
        ("pairing.add", "the words it was said in are not in this reading"),
    ]
    assert not any(p.section == "aside" for p in done.review.passages[1:])


def test_a_word_that_the_better_model_heard_right_needs_no_correction(tmp_path: Path) -> None:
    """The fix counts as kept: the words say what the person wrote."""
    row: Row = ("This is the Fenwick Tollgate toro with a corojo wrapper.", "background", None)
    later = _read_again((FIRST_TAKE[0], row, FIRST_TAKE[2]), SECOND_TAKE)
    p = passage(correcting.review(), "Fenwick")
    at = {"passage": p.id, "first": offsets(p, "habano")["first"], "last": offsets(p, "wrapper")["first"]}
    done = _reading_changes(tmp_path, later, ("words.fix", {**at, "text": "corojo"}))
    assert done.unplaced == ()
    assert "a corojo wrapper" in passage(done.review, "Fenwick").text


def test_values_set_by_hand_are_there_though_the_later_reading_lacks_them(tmp_path: Path) -> None:
    """Their words still exist, so they are kept, at their words."""
    later = _read_again(FIRST_TAKE, SECOND_TAKE)
    done = _reading_changes(
        tmp_path, later,
        ("descriptor.edit", {"key": {"stage": "foot", "term": "raisin"},
                             "new": {"term": "raisin", "stage": "foot", "intensity": "hint"}}),
        ("fact.set", {"name": "binder", "value": "broadleaf"}),
        ("strength.set", {"stage": "first", "low": 3, "high": 4}),
        ("score.edit", {"aspect": "draw", "new": {"aspect": "draw", "value": 8, "out_of": 10}}),
        ("descriptor.remove", {"key": {"stage": "foot", "term": "cedar"}}),
    )
    review = done.review
    assert [(d.term, d.intensity, d.said) for d in review.descriptors] == [("raisin", "hint", "raisin.")]
    assert review.facts["binder"].value == "broadleaf"
    assert (review.strength["first"].low, review.strength["first"].high) == (3, 4)
    assert review.scores[0].value == 8
    assert done.unplaced == ()


def test_the_later_reading_is_what_is_kept_as_reading(tmp_path: Path) -> None:
    """reading.json is the new reading, review.json the corrected one, and correcting goes on from there."""
    later = _read_again(FIRST_TAKE, SECOND_TAKE)
    _reading_changes(tmp_path, later, ("passage.aside", {"passage": "p7"}))
    folder = tmp_path / "draft"
    assert read_review(folder / "reading.json") == later
    assert read_review(folder / "review.json").passages[6].section == "aside"
    with Session(folder) as session:
        correct(session, "passage.label", passage="p8", section="value")
        assert [p.section for p in session.review.passages[6:8]] == ["aside", "value"]


def test_equal_words_at_two_places_are_told_apart_by_time_and_neighbours(tmp_path: Path) -> None:
    """The second “it is good” is corrected, not the first."""
    rows: tuple[Row, ...] = (("It is good.", "first_third", "first"),
                             ("And then some leather.", "first_third", "first"),
                             ("It is good.", "first_third", "first"), ("Bye now.", "aside", None))
    folder = correcting.draft(tmp_path, _read_again(rows))
    with Session(folder) as session:
        correct(session, "passage.label", passage="p3", section="verdict")
    done = reapply(folder, _read_again((("Right.", "aside", None), *rows)))
    assert [p.section for p in done.review.passages] == ["aside", "first_third", "first_third", "verdict", "aside"]


def _state(words: Sequence[str]) -> State:
    return State.of(_read_again(((" ".join(words), "aside", None),)))


VOCABULARY = ["the", "cedar", "is", "strong", "on", "foot", "and", "then", "some", "cocoa", "with", "leather"]
WORDS = st.lists(st.sampled_from(VOCABULARY), min_size=3, max_size=40)


@settings(max_examples=150, deadline=None)
@given(WORDS, st.data())
def test_an_anchor_finds_its_own_words(words: list[str], data: st.DataObject) -> None:
    """In the same words, aligned without positions, an anchor is found at words that read the same."""
    first = data.draw(st.integers(0, len(words) - 1))
    last = data.draw(st.integers(first + 1, len(words)))
    state = _state(words)
    found = locate(state, anchor(state, first, last), same_reading=False)
    assert found is not None
    assert words[slice(*found)] == words[first:last]


@settings(max_examples=150, deadline=None)
@given(WORDS, WORDS, st.data())
def test_an_anchor_is_never_found_where_most_of_its_words_are_not(
    old: list[str], new: list[str], data: st.DataObject
) -> None:
    """Whatever the later words are, the place found holds at least the promised share of the anchor's words."""
    first = data.draw(st.integers(0, len(old) - 1))
    last = data.draw(st.integers(first + 1, len(old)))
    made: Anchor = anchor(_state(old), first, last)
    found = locate(_state(new), made, same_reading=False)
    if found is not None:
        there = new[slice(*found)]
        matcher = difflib.SequenceMatcher(None, made.words, there, autojunk=False)
        kept = sum(b.size for b in matcher.get_matching_blocks())
        close = sum(any(difflib.SequenceMatcher(None, a, b).ratio() >= 0.7 for b in there) for a in made.words)
        assert max(kept, close) >= 0.6 * len(made.words)


def test_a_correction_on_repaired_words_is_found_where_they_are_heard_apart(tmp_path: Path) -> None:
    """The repair held two heard words in one place; a later reading without it has them in two."""
    later = _read_again(FIRST_TAKE, SECOND_TAKE)
    p = passage(correcting.review(), "Fenwick")
    done = _reading_changes(tmp_path, later, ("words.fix", {"passage": p.id, **offsets(p, "habano"), "text": "corojo"}))
    assert done.unplaced == ()
    assert passage(done.review, "Fenwick").text == "This is the Fenwick Tollgate toro with a corojo bano wrapper."


def test_one_place_may_hold_several_heard_words(tmp_path: Path) -> None:
    """As the hear room writes a repair of two words into one: the anchor holds both, and leads to both."""
    from dataclasses import replace

    transcript, passages = spoken((FIRST_TAKE, SECOND_TAKE))
    words = list(transcript.words)
    i = next(i for i, w in enumerate(words) if w.text == "hay")
    words[i : i + 2] = [replace(words[i], text="habano", heard="hay bano", end=words[i + 1].end)]
    ranges = [(p.first - (p.first > i), p.last - (p.last > i)) for p in passages]
    shorter = tuple(replace(p, first=a, last=b) for p, (a, b) in zip(passages, ranges, strict=True))
    folder = correcting.draft(tmp_path, compose(Reading(replace(transcript, words=tuple(words)), shorter)))
    with Session(folder) as session:
        p = passage(session.review, "Fenwick")
        correct(session, "words.fix", passage=p.id, **offsets(p, "habano"), text="corojo")
        assert session.contents.events[0].target["at"]["words"] == ["hay", "bano"]
    done = reapply(folder, _read_again(FIRST_TAKE, SECOND_TAKE))
    assert passage(done.review, "Fenwick").text == "This is the Fenwick Tollgate toro with a corojo wrapper."
