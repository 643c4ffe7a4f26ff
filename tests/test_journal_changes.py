"""What each kind of correction does to the draft, and what it refuses."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests import correcting
from tests.correcting import correct, offsets, passage
from voicedraft.correct.errors import CorrectionError
from voicedraft.correct.session import Session
from voicedraft.draft.document import DescriptorEntry, Review


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    with Session(correcting.draft(tmp_path), write=False) as opened:
        yield opened


def _flavours(review: Review) -> dict[tuple[str, str], DescriptorEntry]:
    return {(d.stage, d.term): d for d in review.descriptors}


def test_a_reassigned_passage_is_certain_and_no_longer_first_to_look_at(session: Session) -> None:
    """Section and stage are the person's, confidence is 1, and the reason says so."""
    correct(session, "passage.label", passage="p5", section="burn", stage="first")
    p = session.review.passages[4]
    assert (p.section, p.stage, p.confidence, p.look_first) == ("burn", "first", 1.0, False)
    assert p.evidence == ("correction: set by the reviewer",)


def test_values_follow_their_passage_to_another_third(session: Session) -> None:
    """What was read from a passage of the first third belongs to the second when the passage does."""
    correct(session, "passage.label", passage="p4", section="final_third", stage="final")
    flavours = _flavours(session.review)
    assert ("first", "cedar") not in flavours
    assert flavours["final", "cedar"].intensity == "strong"
    assert session.review.strength["final"].low == 3
    assert "first" not in session.review.strength


def test_of_two_strengths_that_meet_in_a_third_the_later_said_holds(session: Session) -> None:
    """A strength never stays in a third that its words have left; undo brings both back."""
    correct(session, "strength.set", stage="second", low=4, high=4,
            source={"passage": "p6", **offsets(session.review.passages[5], "cocoa")})
    before = session.review.strength
    correct(session, "passage.label", passage="p4", section="second_third", stage="second")
    assert "first" not in session.review.strength
    assert session.review.strength["second"].low == 4
    session.undo(session.revision)
    assert session.review.strength == before


def test_an_aside_keeps_its_words_and_drops_what_was_read_from_them(session: Session) -> None:
    """The passage stays in the transcript; its flavours leave the review, but not one that a person put there."""
    correct(session, "passage.aside", passage="p6")
    assert "cocoa" in session.review.passages[5].text
    assert ("second", "cocoa") not in _flavours(session.review)
    source = {"passage": "p6", **offsets(session.review.passages[5], "cocoa")}
    correct(session, "descriptor.add", source=source, new={"term": "dark cocoa", "stage": "second"})
    assert ("second", "dark cocoa") in _flavours(session.review)


def test_a_split_passage_shares_its_words_and_values(session: Session) -> None:
    """Both halves keep the label, the words part where asked, and each value goes with its words."""
    p = passage(session.review, "cocoa")
    correct(session, "passage.split", passage="p6", at=offsets(p, "cocoa")["first"])
    first, second = session.review.passages[5], session.review.passages[6]
    assert (first.text, second.text) == ("Second third, the cedar has gone and", "cocoa comes up.")
    assert (second.id, second.section, second.stage) == ("p6-2", "second_third", "second")
    flavours = _flavours(session.review)
    assert (flavours["second", "cedar"].passage, flavours["second", "cocoa"].passage) == ("p6", "p6-2")


def test_merging_what_was_split_gives_the_passage_back(session: Session) -> None:
    """Split and merge are each other's undoing, values included."""
    before = session.review
    correct(session, "passage.split", passage="p6", at=3)
    correct(session, "passage.merge", passage="p6")
    assert [(p.id, p.text) for p in session.review.passages] == [(p.id, p.text) for p in before.passages]
    assert session.review.descriptors == before.descriptors


def test_passages_of_two_takes_are_not_merged(session: Session) -> None:
    """A take's last passage has nothing to be merged with."""
    with pytest.raises(CorrectionError, match="last of its take"):
        correct(session, "passage.merge", passage="p3")


@pytest.mark.parametrize("at", [7, 400])
def test_a_split_leaves_words_on_both_sides(session: Session, at: int) -> None:
    """A cut outside the passage is refused with the number of its words."""
    with pytest.raises(CorrectionError, match="has 7 words"):
        correct(session, "passage.split", passage="p7", at=at)


def test_fixed_words_are_printed_and_heard_words_kept(session: Session) -> None:
    """More or fewer words may be written than were heard; values quote the new ones."""
    p = passage(session.review, "broadleaf")
    correct(session, "words.fix", passage=p.id, **offsets(p, "broadleaf binder"), text="San Andrés binder leaf")
    fixed = session.review.passages[7]
    assert fixed.text == "I would guess a San Andrés binder leaf"
    assert fixed.heard == "I would guess a broadleaf binder."
    assert session.review.facts["binder"].said == "San Andrés binder leaf"
    correct(session, "words.fix", passage=p.id, first=4, last=6, text="binder")
    assert session.review.passages[7].text == "I would guess a binder"


def test_a_repair_taken_back_prints_what_was_heard(session: Session) -> None:
    """Pointing at one word of a repair takes the whole of it back."""
    p = passage(session.review, "habano")
    assert p.repairs
    correct(session, "words.revert", passage=p.id, **offsets(p, "habano"))
    reverted = session.review.passages[1]
    assert "hay bano wrapper" in reverted.text
    assert reverted.repairs == ()
    with pytest.raises(CorrectionError, match="no repair"):
        correct(session, "words.revert", passage=p.id, first=0, last=2)


def test_a_flavour_added_leads_to_its_words_and_has_a_family(session: Session) -> None:
    """An added flavour is quoted from the words pointed at; its family is the lexicon's."""
    p = passage(session.review, "straight")
    correct(session, "descriptor.add", source={"passage": p.id, **offsets(p, "burn line")},
            new={"term": "Toasted  Oak", "stage": "first", "intensity": "hint"})
    added = _flavours(session.review)["first", "toasted oak"]
    assert (added.said, added.passage, added.family, added.magnitude) == ("burn line", "p5", "wood", 1.4)
    assert added.evolution == "new"


def test_the_course_of_a_flavour_is_computed_anew(session: Session) -> None:
    """Without cedar on the foot and in the first third, cocoa and cedar change their course."""
    correct(session, "descriptor.edit", key={"stage": "second", "term": "cedar"},
            new={"term": "cedar", "stage": "second", "status": "present", "intensity": "dominant"})
    assert _flavours(session.review)["second", "cedar"].evolution == "rising"
    correct(session, "descriptor.remove", key={"stage": "first", "term": "cedar"})
    correct(session, "descriptor.remove", key={"stage": "foot", "term": "cedar"})
    assert _flavours(session.review)["second", "cedar"].evolution == "new"


def test_one_flavour_stands_once_at_a_stage(session: Session) -> None:
    """A second entry of the same term and stage is refused."""
    with pytest.raises(CorrectionError, match="there at stage foot already"):
        correct(session, "descriptor.edit", key={"stage": "foot", "term": "raisin"},
                new={"term": "cedar", "stage": "foot"})


def test_a_guess_becomes_a_fact_only_when_a_person_says_so(session: Session) -> None:
    """Un-guessing keeps the words it came from, and the fact is no longer among what was not mentioned."""
    assert "Binder" in session.review.not_mentioned
    correct(session, "fact.set", name="binder", value="broadleaf")
    fact = session.review.facts["binder"]
    assert (fact.guessed, fact.said) == (False, "broadleaf binder.")
    assert "Binder" not in session.review.not_mentioned


@pytest.mark.parametrize(("name", "value", "told"), [
    ("ring_gauge", "fifty", "a number"), ("ring_gauge", 50.5, "a whole number"), ("relights", -1, "a number"),
    ("length_mm", float("nan"), "a number"), ("length_mm", True, "a number"), ("cigar", "  ", "a name"),
    ("filler", "Nicaragua", "a list"), ("price_single", {"amount": 9}, "an amount"),
    ("price_single", {"amount": 9, "currency": "dollars"}, "three letters"),
    ("price_box", {"low": 1, "high": float("inf"), "currency": "EUR"}, "an amount"),
])
def test_a_fact_of_the_wrong_shape_is_refused(session: Session, name: str, value: object, told: str) -> None:
    """The message tells what to give."""
    with pytest.raises(CorrectionError, match=told):
        correct(session, "fact.set", name=name, value=value, source={"passage": "p2"})


@pytest.mark.parametrize(("what", "fields", "told"), [
    ("fact.set", {"name": "country", "value": "Honduras"}, "needs the words"),
    ("fact.clear", {"name": "country"}, "blank"),
    ("strength.set", {"stage": "final", "low": 2, "high": 3}, "needs the words"),
    ("strength.set", {"stage": "first", "low": 4, "high": 3}, "runs backwards"),
    ("strength.clear", {"stage": "final"}, "no strength"),
    ("descriptor.remove", {"key": {"stage": "room", "term": "cedar"}}, "no cedar at stage room"),
    ("score.remove", {"aspect": "burn"}, "no score for burn"),
    ("score.edit", {"aspect": "draw", "new": {"aspect": "draw", "value": 11, "out_of": 10}}, "too high"),
    ("pairing.remove", {"key": {"kind": "food", "value": "cheese"}}, "no cheese among what to eat"),
    ("passage.label", {"passage": "p99", "section": "burn"}, "no passage p99"),
    ("descriptor.add", {"source": {"passage": "p2", "first": 3, "last": 99}, "new": {"term": "hay", "stage": "foot"}},
     "Choose words"),
    ("words.fix", {"passage": "p1", "first": 0, "last": 2, "text": "Good evening"}, "written there already"),
])
def test_what_cannot_be_done_is_refused_with_a_reason(
    session: Session, what: str, fields: dict[str, object], told: str
) -> None:
    """Nothing is written then."""
    with pytest.raises(CorrectionError, match=told):
        correct(session, what, **fields)
    assert session.revision == 0
    assert not session.journal.path.exists()


def test_every_correction_can_be_told_in_a_sentence(session: Session) -> None:
    """No kind falls back to its bare name."""
    from voicedraft.correct.telling import tell

    for step in correcting.everything(session):
        step()
    session.undo(session.revision)
    session.redo(session.revision)
    told = [tell(e) for e in session.contents.events]
    assert all(" " in t and "." not in t.split(":")[0] for t in told)
    assert told[1] == "passage at 5:25: left out, was Second third"
