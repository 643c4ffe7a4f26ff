"""The parts of reading descriptors, each in a tiny world of its own."""

from __future__ import annotations

import numpy as np
import pytest

from voicedraft.lexicon import load_lexicon
from voicedraft.read.descriptors.mentions import viterbi
from voicedraft.read.descriptors.merge import Said, merge
from voicedraft.read.descriptors.reader import decide
from voicedraft.read.descriptors.terms import key, singular
from voicedraft.read.descriptors.weights import DescriptorWeights, Linear, dump, parse, shipped


def said(term: str, **changes: object) -> Said:
    """A mention in the first third, present at medium, sure."""
    values: dict[str, object] = {
        "term": term, "key": key(term), "stage": "first", "status": "present", "intensity": "medium", "cued": False,
        "passage": "p1", "first": 0, "last": 1, "said": term, "confidence": 0.99,
    }
    return Said(**{**values, **changes})  # type: ignore[arg-type]


def test_the_magnitude_scale_has_the_published_positions() -> None:
    """Barely detectable 1.4, weak 6, moderate 17, strong 35, very strong 53 on the general labeled magnitude scale.

    Source: Green et al. 1993 (Chemical Senses 18, 683-702), Bartoshuk et al. 2004 (Physiology & Behavior 82, 109-114).
    """
    table = load_lexicon().table("intensity")
    published = {"barely detectable": 1.4, "weak": 6.0, "moderate": 17.0, "strong": 35.0, "very strong": 53.0}
    assert {table["glms_labels"][step]: value for step, value in table["glms"].items()} == published


def test_one_entry_per_term_and_stage_and_the_latest_word_wins() -> None:
    """Said twice in a stage is one entry; the later status stands."""
    entries = merge([said("cedar"), said("cedar", status="gone", first=9, last=10)])
    assert [(e.said.term, e.said.status) for e in entries] == [("cedar", "gone")]
    assert entries[0].spans == [(0, 1)]


def test_the_same_term_in_two_stages_is_two_entries() -> None:
    """A stage keeps its own entry."""
    assert len(merge([said("cedar"), said("cedar", stage="second")])) == 2


def test_a_name_with_more_modifiers_takes_the_place_of_the_shorter() -> None:
    """"Oak", then "charred oak", of one stage are the charred oak."""
    assert [e.said.term for e in merge([said("oak"), said("charred oak"), said("oak")])] == ["charred oak"]


def test_a_doubtful_later_word_does_not_change_a_sure_one() -> None:
    """A mention that may be no entry at all leaves the status as it was."""
    entries = merge([said("cedar", status="absent"), said("cedar", confidence=0.6)])
    assert entries[0].said.status == "absent"


def test_a_plain_later_word_leaves_the_amount_that_was_said() -> None:
    """"Cedar, lots of it" stays strong when cedar is only named again."""
    entries = merge([said("cedar", intensity="strong", cued=True), said("cedar")])
    assert entries[0].said.intensity == "strong"


def test_a_renaming_reaches_the_earlier_stage() -> None:
    """What was called cinnamon in the first third is clove there, with status and amount kept."""
    entries = merge([
        said("cinnamon", intensity="hint", cued=True),
        said("cinnamon", stage="second", takes_back=True, new_term="clove", new_key=("clove",)),
    ])
    assert [(e.said.term, e.said.stage, e.said.intensity) for e in entries] == [("clove", "first", "hint")]


def test_a_withdrawn_term_vanishes_and_others_stay() -> None:
    """Taking back creosote leaves the cedar."""
    entries = merge([said("cedar"), said("creosote"), said("creosote", takes_back=True)])
    assert [e.said.term for e in entries] == ["cedar"]


def test_inside_never_follows_outside() -> None:
    """The decoder gives no word inside a name that did not begin, however likely."""
    scores = np.log(np.array([[0.9, 0.05, 0.05], [0.1, 0.1, 0.8], [0.6, 0.2, 0.2]], np.float32))
    path = viterbi(scores)
    assert all(not (b == 2 and a == 0) for a, b in zip([0, *path], path, strict=False))


@pytest.mark.parametrize(("plural", "one"), [
    ("raisins", "raisin"), ("berries", "berry"), ("ashes", "ash"), ("leaves", "leaf"), ("molasses", "molasses"),
    ("grass", "grass"), ("citrus", "citrus"), ("pepitas", "pepita"),
])
def test_terms_are_written_in_the_singular(plural: str, one: str) -> None:
    """Regular plurals lose their ending; words that only look plural keep it."""
    assert singular(plural) == one


def test_taste_adjective_and_noun_are_one_term() -> None:
    """"Sweet" and "sweetness", "salty" and "saltiness" compare equal."""
    assert key("sweet") == key("sweetness")
    assert key("salty") == key("saltiness")


def test_a_likely_denial_is_never_read_as_present() -> None:
    """Where gone and absent together are likely enough, the entry is not printed as present."""
    assert decide(np.array([0.0, 0.55, 0.0, 0.05, 0.4], np.float32)) == "absent"
    assert decide(np.array([0.0, 0.95, 0.0, 0.03, 0.02], np.float32)) == "present"


def test_weights_come_back_as_they_were_written_byte_for_byte() -> None:
    """Parsing and writing the shipped file again gives the same bytes."""
    data = dump(shipped())
    assert dump(parse(data)) == data


def test_weights_of_another_kind_are_refused() -> None:
    """A file that is no descriptor weights is named as such."""
    with pytest.raises(ValueError, match="not a file of descriptor weights"):
        parse(b"something else")


def test_a_linear_part_sums_names_and_vectors() -> None:
    """Logits are the bias, the rows of the known names and the vector times its matrix."""
    part = Linear(("a", "b"), {"x": 0, "y": 1}, np.array([[1, 0], [0, 2]], np.float32),
                  np.array([[0.5, 0]], np.float32), np.array([0.1, 0.2], np.float32))
    logits = part.logits([["x", "y", "unknown"], []], np.array([[2.0], [0.0]], np.float32))
    assert np.allclose(logits, [[2.1, 2.2], [0.1, 0.2]])


def test_shipped_weights_hold_every_status_and_step() -> None:
    """The labels of the shipped classifiers are those of the document."""
    weights: DescriptorWeights = shipped()
    assert weights.status.labels == ("none", "present", "fading", "gone", "absent")
    assert weights.intensity.labels == ("hint", "light", "medium", "strong", "dominant")
    assert weights.place.labels == ("wrapper", "foot", "cold_draw")
