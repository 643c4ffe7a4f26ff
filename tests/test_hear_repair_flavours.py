"""Flavours in another spelling, with another ending, half heard, or unknown to a dictionary."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.test_hear_repair import heard, text
from voicedraft.hear.repair import repair, undo
from voicedraft.lexicon import Lexicon, load_lexicon


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load_lexicon()


SPELT = {
    "There's fruitcake in it.": "There's fruit cake in it.",
    "It speaks of sugar cane, cold.": "It speaks of sugarcane, cold.",
    "Fruitcake's gone missing.": "Fruit cake's gone missing.",
    "A hint of passionfruit.": "A hint of passion fruit.",
    "The farm yard is back.": "The farmyard is back.",
    "Camomile, no more than a hint.": "Chamomile, no more than a hint.",
    "A biscuit, gingernut, and loud.": "A biscuit, ginger nut, and loud.",
    "Some moth balls under it.": "Some mothballs under it.",
}
NOT_SPELT = (
    "I saw dust on the band.", "They camp fire or no fire.", "With an Irish whiskey, the pot still.",
    "We had some sugar. Cane stood in the field.", "An old jenever would sit well with it.",
)


@pytest.mark.parametrize("said", SPELT)
def test_a_flavour_is_spelt_as_in_the_lexicon(said: str, lexicon: Lexicon) -> None:
    """However sure the recogniser was: its spelling is chance."""
    assert text(repair(heard(said, 0.99), lexicon)) == SPELT[said]


@pytest.mark.parametrize("said", NOT_SPELT)
def test_other_words_and_drinks_keep_their_spelling(said: str, lexicon: Lexicon) -> None:
    """Verbs, two sentences, and drinks, whose spelling tells where they come from."""
    assert text(repair(heard(said, 0.99), lexicon)) == said


def test_the_users_own_spelling_stays(tmp_path: Path, lexicon: Lexicon) -> None:
    """A reviewer who lists "fruitcake" keeps it; elsewhere what was heard comes back with one command."""
    (tmp_path / "descriptors.toml").write_text(
        '[family.bakery]\nterms = [{term = "fruitcake"}]\n', encoding="utf-8")
    said = heard("There's fruitcake in it.", 0.99)
    assert repair(said, load_lexicon(tmp_path)).repairs == ()
    found = repair(said, lexicon)
    assert [r.heard for r in found.repairs] == ["fruitcake"]
    assert text(undo(found, 0)) == text(said)


@pytest.mark.parametrize(("said", "right"), [
    ("Burned orange peel, a hint of it.", "Burnt orange peel, a hint of it."),
    ("It says dry apricot, a trace.", "It says dried apricot, a trace."),
    ("There's stockholmed tar in it.", "There's stockholm tar in it."),
    ("Malt milk is fading.", "Malted milk is fading."),
])
def test_a_flavour_heard_with_another_ending_is_the_lexicons(said: str, right: str, lexicon: Lexicon) -> None:
    """Where the recogniser was not sure; what it was sure of was said so."""
    assert text(repair(heard(said, 0.7), lexicon)) == right
    assert text(repair(heard(said, 0.95), lexicon)) == said


@pytest.mark.parametrize("said", [
    "I smoke herring out the back.", "They dry apricots on the roof.", "We burned. Orange peel lay about.",
])
def test_a_verb_is_no_other_ending(said: str, lexicon: Lexicon) -> None:
    """Behind a pronoun it tells what somebody does."""
    assert text(repair(heard(said, 0.7), lexicon)) == said


@pytest.mark.parametrize(("said", "right"), [
    ("Just a hint of swede glove.", "Just a hint of suede glove."),
    ("And hella honey, not a lot.", "And heather honey, not a lot."),
    ("The cafe de olas's still on the line, a bit of it.", "The café de olla's still on the line, a bit of it."),
    ("The oncho's backing off.", "The ancho's backing off."),
    ("A dab of cherrycoff drop on the foot.", "A dab of cherry cough drop on the foot."),
    ("Paulvoron, I gave it three puffs.", "Polvorón, I gave it three puffs."),
    ("Breadfruit, roasted. Redfruit finish.", "Breadfruit, roasted. Breadfruit finish."),
])
def test_what_sounds_and_looks_like_one_flavour_is_it(said: str, right: str, lexicon: Lexicon) -> None:
    """Half a name, a name with its "'s", a name run together, and one that the session has named."""
    assert text(repair(heard(said, 0.55), lexicon)) == right


@pytest.mark.parametrize("said", [
    "It's up in my sinuses.", "The anisette comes behind it.", "Put him beside wheaten bread.",
    "The band has a black triangle on it.", "He brought kompot and a trifle.",
    "The veld is on fire.", "A maltose finish, that.", "Gethin came in, then Farida.",
])
def test_a_word_that_a_dictionary_knows_is_no_misheard_flavour(said: str, lexicon: Lexicon) -> None:
    """Rare words of English, foods that are no flavour of the lexicon, and people's names."""
    assert text(repair(heard(said, 0.55), lexicon)) == said


@pytest.mark.parametrize("odds", [0.97, 0.6])
@pytest.mark.parametrize("said", [
    "That was Mr Coffey rolling a few.", "My cousin, she lives in Tarragona now.", "It came with old Jasmina.",
    "There's a garlicky smell in the street.", "The finish is peanutty.", "It gets treacly later.",
    "We had tandoori chicken.", "My wife saw dust on the lid.", "I never smoke house blends.",
    "Pete's coming by with some whisky and cedar.", "Clara's wrapper is the darkest.",
    "Dad smokes fish on Sundays.", "The growers ferment tobacco in the barn.", "We limewash the cottage.",
    "Heather's honey sold out.", "Thanks to Coldsmoke for it.", "The fire at Oakwood Lane went out.",
])
def test_names_verbs_and_what_is_only_like_a_flavour_stay(said: str, odds: float, lexicon: Lexicon) -> None:
    """Sentences that an attacker found changed, or close to them."""
    assert text(repair(heard(said, odds), lexicon)) == said
