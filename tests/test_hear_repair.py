"""Misheard words: set right where sound and context both say so, and left alone everywhere else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.conftest import GOLD
from tests.hear_sounds import human_sentences
from voicedraft.evaluate import gold
from voicedraft.hear.repair import repair, undo
from voicedraft.hear.repair.sound import key, likeness
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.types import Take, Transcript, Word


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load_lexicon()


def heard(text: str, probability: float = 0.6) -> Transcript:
    words = [Word(w, i * 0.3, i * 0.3 + 0.25, 1, w, probability) for i, w in enumerate(text.split())]
    return Transcript(tuple(words), (Take(1, 0.0, len(words) * 0.3, "take.flac"),))


def text(transcript: Transcript) -> str:
    return " ".join(w.text for w in transcript.words)


SET_RIGHT = {
    "On the foot I get hey and a little leather.": "On the foot I get hay and a little leather.",
    "The drawer is tight, a bit plugged.": "The draw is tight, a bit plugged.",
    "It's an Ecuadorian rapper, dark and oily.": "It's an Ecuadorian wrapper, dark and oily.",
    "I get chart oak and some Coco on the finish.": "I get charred oak and some cocoa on the finish.",
    "The filler is from Gelapa, Nicaraguan.": "The filler is from Jalapa, Nicaraguan.",
    "The binder is Corrojo from Haloppa, the filler too.": "The binder is Corojo from Jalapa, the filler too.",
    "Some filler out of Jamestrand and Nicaraguan ligero.": "Some filler out of Jamastrán and Nicaraguan ligero.",
    "I get some cocoa. Coco has come in again.": "I get some cocoa. Cocoa has come in again.",
    "They sat in the humid or for six weeks.": "They sat in the humidor for six weeks.",
    "A little of the pencil shadings, which came in.": "A little of the pencil shavings, which came in.",
    "A Mexican san a d rs wrapper, dark.": "A Mexican San Andrés wrapper, dark.",
    "There's a note of cafe de olor and pepper.": "There's a note of café de olla and pepper.",
    "More of the oncho now, some chili de arbol.": "More of the ancho now, some chile de árbol.",
    "The altered milk's gone.": "The malted milk's gone.",
    "Half an inch of ash. Van's off, it's still mild.": "Half an inch of ash. Band's off, it's still mild.",
}
LEFT_ALONE = (
    "The heat climbs from ancho chile to arbol by the second third.",
    "You pump a nickel into the meter and you get six minutes.",
    "I would sand and dress the lid of the box before the leaf goes in.",
    "That corona guard is a little ring you clip to the cigar.",
    "Hey, did you get the foot cut?",
    "Hey, I get hay here.",
    "The rapper from Atlanta was on the radio.",
    "I opened the kitchen drawer and got my torch.",
    "She said hey to the dog and went in.",
    "I read the paper while the kettle boiled.",
    "Weather permitting we sit outside.",
    "My reason for the short rest is simple.",
    "Coco has come in from the garden, she is wet through.",
    "There is a pylon behind the house.",
    "The van's off the road until Tuesday.",
    "His pencil was blunt and his shading was worse.",
    "I could smoke this one all day.",
    "I write coffee orders on the back of it.",
)


@pytest.mark.parametrize("said", SET_RIGHT)
def test_a_misheard_word_is_set_right(said: str, lexicon: Lexicon) -> None:
    """Sound and neighbours agree: the text changes, the heard words stay."""
    mended = repair(heard(said), lexicon)
    assert text(mended) == SET_RIGHT[said]
    assert " ".join(w.heard for w in mended.words if w.heard) == said
    for r in mended.repairs:
        assert " ".join(w.text for w in mended.words[r.first : r.last]) == r.text
        assert r.reason
        assert 0.5 < r.confidence < 1.0


@pytest.mark.parametrize("said", LEFT_ALONE)
def test_a_word_of_daily_life_is_left_alone(said: str, lexicon: Lexicon) -> None:
    """Sound alone changes nothing."""
    assert repair(heard(said), lexicon).repairs == ()


def test_the_cigars_name_is_spelt_as_the_reviewer_spells_it(lexicon: Lexicon) -> None:
    """Given once, applied to each mishearing of the whole name or a telling part, and to nothing else."""
    given_name = "Harlowe & Quennell Copper Lantern"
    mended = repair(heard("Tonight it's the Copper Lanturn by Harlow and Quenelle, and Quinnell sent me five."),
                    lexicon, given_name)
    assert "Copper Lantern" in text(mended)
    assert text(mended).count("Quennell") == 2
    assert repair(heard("The copper pipe and a lamp on the front porch."), lexicon, given_name).repairs == ()


def test_a_name_that_is_heard_right_is_not_touched(lexicon: Lexicon) -> None:
    """No repair where nothing changes."""
    assert repair(heard("Tonight it's the Copper Lantern."), lexicon, "Copper Lantern").repairs == ()


def test_a_repair_can_be_taken_back(lexicon: Lexicon) -> None:
    """Two words that became one are two again; the other repair keeps its place."""
    before = heard("In the humid or for weeks, and the drawer is tight, plugged.")
    mended = repair(before, lexicon)
    assert [r.text for r in mended.repairs] == ["humidor", "draw"]
    back = undo(mended, 0)
    assert text(back) == text(before).replace("drawer", "draw")
    [left] = back.repairs
    assert back.words[left.first].text == "draw"


def test_a_user_can_teach_and_unteach_a_mishearing(tmp_path: Path) -> None:
    """A form in the user's own misheard.toml is repaired; one under [never] no longer is."""
    (tmp_path / "misheard.toml").write_text(
        '[own]\nforms = [{heard = "muddy row", right = "maduro", near = ["wrapper"]}]\n'
        '[never]\nheard = ["chart oak"]\n'
    )
    mine = load_lexicon(tmp_path)
    assert text(repair(heard("A muddy row wrapper."), mine)) == "A maduro wrapper."
    assert repair(heard("I get chart oak on the finish."), mine).repairs == ()


@pytest.mark.parametrize("said", [
    "A little of the pencil shadings, which came in.", "The binder is Corrojo from Haloppa, the filler too.",
    "They sat in the humid or for six weeks.",
])
def test_what_was_taken_back_is_repaired_by_no_rule(said: str, tmp_path: Path, lexicon: Lexicon) -> None:
    """Whether it was a known mishearing, half a flavour, an unknown word or two for one."""
    made = repair(heard(said), lexicon).repairs
    assert made
    (tmp_path / "misheard.toml").write_text(
        "[never]\nheard = [" + ", ".join(f'"{r.heard.lower().strip(" .,")}"' for r in made) + "]\n", encoding="utf-8")
    assert repair(heard(said), load_lexicon(tmp_path)).repairs == ()


def test_correct_speech_of_the_trade_is_not_changed(lexicon: Lexicon) -> None:
    """Outside check: on 38,000 words of annotated sessions, where every repair is wrong, at most one in a thousand;
    each word as doubtful to the recogniser as it ever is where it is right."""
    words = wrong = 0
    for path in GOLD:
        session = gold.transcript(gold.load(path))
        doubtful = replace(session, words=tuple(replace(w, probability=0.5) for w in session.words))
        words += len(doubtful.words)
        wrong += sum(r.last - r.first for r in repair(doubtful, lexicon).repairs)
    assert words > 30_000
    assert wrong / words <= 0.001


def test_human_sentences_are_not_changed(lexicon: Lexicon) -> None:
    """The texts of Debian's pocketsphinx-testdata hold no word of the trade."""
    for _, said in human_sentences():
        assert repair(heard(said), lexicon).repairs == ()


@pytest.mark.parametrize(("one", "other"), [("wrapper", "rapper"), ("hay", "hey"), ("cocoa", "coco")])
def test_words_of_one_sound_have_one_key(one: str, other: str) -> None:
    """Metaphone as jellyfish writes it."""
    assert key(one) == key(other)


@given(st.text(alphabet="abcdefghijklmnopqrstuvwxyz ", max_size=20), st.text(alphabet="aeioucdr", max_size=8))
@settings(max_examples=50)
def test_likeness_is_a_share_and_the_same_both_ways(one: str, other: str) -> None:
    """Between 0 and 1, symmetric."""
    assert 0.0 <= likeness(one, other) <= 1.0
    assert likeness(one, other) == pytest.approx(likeness(other, one))


SAID = ("hey", "the", "rapper", "foot,", "get", "drawer", "tight.", "chart", "oak", "humid", "or", "leaf", "Haloppa")


@given(st.lists(st.sampled_from(SAID), min_size=1, max_size=15))
@settings(max_examples=60, deadline=None)
def test_whatever_is_repaired_can_be_taken_back(said: list[str]) -> None:
    """Undoing every repair gives the heard words again, in order, in their time."""
    before = heard(" ".join(said))
    after = repair(before, load_lexicon())
    starts = [w.start for w in after.words]
    assert starts == sorted(starts)
    while after.repairs:
        after = undo(after, len(after.repairs) - 1)
    assert text(after) == text(before)


@pytest.mark.parametrize(("said", "right"), [
    ("I get cedar and pumper nickel.", "I get cedar and pumpernickel."),
    ("There is ground nut, a whole lot.", "There is groundnut, a whole lot."),
])
def test_a_flavour_written_as_two_words_is_one_again(said: str, right: str, lexicon: Lexicon) -> None:
    """Where the halves run together are its name, letter for letter."""
    assert text(repair(heard(said), lexicon)) == right


@pytest.mark.parametrize("said", ["I left it in side the shop.", "We sat on the ground. Nut shells lay about.",
                                  "I get ginger, bread and butter."])
def test_words_that_belong_apart_stay_apart(said: str, lexicon: Lexicon) -> None:
    """Short halves, or a stop between them."""
    assert repair(heard(said), lexicon).repairs == ()


@pytest.mark.parametrize(("said", "right"), [
    ("Rapper, Connecticut broadleaf, no shine.", "Wrapper, Connecticut broadleaf, no shine."),
    ("Not box pressed. Rapper Mexican San Andrés.", "Not box pressed. Wrapper Mexican San Andrés."),
    ("It's not pervian, it's Brazilian.", "It's not Peruvian, it's Brazilian."),
    ("A hint of pumpernickle on the finish.", "A hint of pumpernickel on the finish."),
])
def test_leaf_beside_it_or_the_place_of_a_flavour_decides(said: str, right: str, lexicon: Lexicon) -> None:
    """Names of leaf and places count as neighbours of every part; an unknown word may be a flavour where one stands."""
    assert text(repair(heard(said), lexicon)) == right


@pytest.mark.parametrize(("said", "right"), [
    ("It is a bellicoso so pointed.", "It is a belicoso so pointed."),
    ("The champoirado is pulling it along.", "The champorado is pulling it along."),
    ("Careway's fading now.", "Caraway's fading now."),
    ("On the retrohail there's white pepper.", "On the retrohale there's white pepper."),
])
def test_a_long_unknown_word_almost_a_rare_name_needs_no_neighbour(said: str, right: str, lexicon: Lexicon) -> None:
    """Its plural is no rival to it."""
    assert text(repair(heard(said), lexicon)) == right


@pytest.mark.parametrize("said", ["He gave me a tenner for it.", "A carton of it, and a trifle.", "Bloke said maduro."])
def test_an_unknown_word_that_only_has_the_consonants_of_a_flavour_is_left_alone(said: str, lexicon: Lexicon) -> None:
    """Speech of annotated sessions, in which these words were said."""
    assert repair(heard(said), lexicon).repairs == ()


@pytest.mark.parametrize(("said", "right"), [
    ("Ten weeks in the drawer, six to five percent.", "sixty-five percent"),
    ("Seven to one minutes from light to nub.", "Seventy-one minutes"), ("Kept at 6 to 9 per cent.", "6 to 9 per cent"),
    ("Kept at 7 to 2 per cent.", "72 per cent"), ("It ran four to four minutes, all told.", "forty-four minutes"),
])
def test_a_range_that_runs_downwards_is_a_number_of_tens(said: str, right: str, lexicon: Lexicon) -> None:
    """As base heard "sixty-five percent" and "seventy-one minutes" of a synthetic voice."""
    assert right in text(repair(heard(said), lexicon))


@pytest.mark.parametrize("said", [
    "It fell from eight to five percent.", "Five to nine minutes.", "It was five to two. Minutes later it was out.",
    "I get the nine to five bus.", "Down twenty-six to five minutes.", "Give it one to one minutes.",
    "The humidity fell seven to five percent.", "It lost six to four percent of its weight.",
    "Five to one percent odds.", "A hundred and six to five percent.", "They dropped it nine to eight dollars.",
    "It started at five to two minutes before rain.", "I cut it nine to two minutes ago.",
])
def test_a_range_that_somebody_says_stays(said: str, lexicon: Lexicon) -> None:
    """Told from above, a fall, odds, a price, a clock time, no unit, a number that began before."""
    assert text(repair(heard(said), lexicon)) == said


@pytest.mark.parametrize(("said", "right"), [
    ("Caraway, fig. Coco's on its way out the door.", "Cocoa's on its way out"),
    ("Lots of leather. Coco's fading now, the pepper's up.", "Cocoa's fading now"),
])
def test_a_misheard_flavour_keeps_its_verb(said: str, right: str, lexicon: Lexicon) -> None:
    """"Coco" is the commonest mishearing of cocoa by base."""
    assert right in text(repair(heard(said), lexicon))


@pytest.mark.parametrize("said", ["Coco's asleep on the sofa again.", "Coco's on the leather sofa, being a nuisance.",
                                  "Coco's gone to fetch the leather lead.", "Coco's coming over, and there's pepper.",
                                  "Leather is here. Coco's going for a walk.",
                                  "Cocoa and leather. Coco's asleep again.",
                                  "Cocoa and cedar. Coco's tail is wagging."])
def test_a_dog_called_coco_stays_one(said: str, lexicon: Lexicon) -> None:
    """Nothing there tells what became of a flavour."""
    assert text(repair(heard(said), lexicon)) == said


@pytest.mark.parametrize(("said", "right"), [
    ("There's some light or in joyle, you know.", "some light orange oil, you know"),
    ("Caraway holds. Or in joyle is gone.", "Orange oil is gone"),
    ("Foot. Hey, damp hay, bit of salt.", "Hay, damp hay"), ("Get a tonny port with it.", "a tawny port"),
    ("Leave it in the dash tray then.", "in the ashtray"), ("There's no ash tree smell in it.", "no ashtray smell"),
])
def test_words_that_sound_just_like_a_name_are_set_right(said: str, right: str, lexicon: Lexicon) -> None:
    """As base heard a formant and a neural voice say "orange oil", "hay", "tawny port" and "ashtray"."""
    assert right in text(repair(heard(said), lexicon))


@pytest.mark.parametrize("said", [
    "I saw it or in Joyle Street, one of them.", "Hey, damp towel, please.", "The ash tree came down in the storm.",
    "Tony Porter brought it.",
])
def test_words_where_no_name_stands_are_left_alone(said: str, lexicon: Lexicon) -> None:
    """A street, a call, a tree, a man."""
    assert text(repair(heard(said), lexicon)) == said
