"""The second hearing: which names are told, and which words of it are kept."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from voicedraft.errors import ModelError
from voicedraft.hear.doubt import MOST_WORDS, Doubt
from voicedraft.hear.habit import END, Counts, Habit, load, save, tokens
from voicedraft.hear.merge import differences, merge
from voicedraft.hear.recognise import HeardWord
from voicedraft.hear.sounds import Sounds
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.train.habit import count


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="module")
def habit(lexicon: Lexicon) -> Habit:
    return load(lexicon)


@pytest.fixture(scope="module")
def doubt(lexicon: Lexicon, habit: Habit) -> Doubt:
    return Doubt(lexicon, habit)


def heard(text: str, **doubtful: float) -> list[HeardWord]:
    bare = [w.strip(".,").lower() for w in text.split()]
    return [HeardWord(w, i * 0.3, i * 0.3 + 0.25, doubtful.get(b, 0.99))
            for i, (w, b) in enumerate(zip(text.split(), bare, strict=True))]


@pytest.mark.parametrize(("one", "other"), [
    ("swayed", "suede"), ("coco", "cocoa"), ("jins", "gins"), ("rapper", "wrapper"), ("chart oak", "charred oak"),
    ("a dobo", "adobo"), ("teachest", "tea chest"), ("scent", "sent"), ("time", "thyme"), ("hay", "hey"),
])
def test_words_that_sound_alike_have_the_same_sounds(one: str, other: str, lexicon: Lexicon) -> None:
    """English homophones and what a recogniser wrote; voice and near vowels do not count in the coarse sounds."""
    sounds = Sounds(lexicon.table("sounds"))
    assert sounds.coarse(sounds.fine(one)) == sounds.coarse(sounds.fine(other))


@pytest.mark.parametrize(("one", "other"), [("leather", "cedar"), ("fig", "vein"), ("hay", "oak"), ("tar", "stout")])
def test_words_that_sound_different_have_different_sounds(one: str, other: str, lexicon: Lexicon) -> None:
    """Vowels and consonants are not thrown away."""
    sounds = Sounds(lexicon.table("sounds"))
    assert sounds.coarse(sounds.fine(one)) != sounds.coarse(sounds.fine(other))


def test_a_name_that_sounds_like_a_doubtful_word_is_told(doubt: Doubt) -> None:
    """Only for the window in which it is doubtful, and never more than there is room for."""
    told = doubt.words(heard("I get a hint of swayed glove and some leather.", swayed=0.3))
    assert "suede" in told
    assert sum(len(name.split()) for name in told) <= MOST_WORDS


def test_nothing_is_told_where_no_word_is_doubtful(doubt: Doubt) -> None:
    """The same words, surely heard; and no words at all."""
    assert doubt.words(heard("I get a hint of swayed glove and some leather.")) == []
    assert doubt.words([]) == []


def test_of_two_hearings_the_words_that_the_trade_would_say_are_kept(habit: Habit) -> None:
    """A flavour in place of a strange word; the words around it keep their times from the first hearing."""
    first = heard("I get a hint of kelpdu and some leather.", kelpdu=0.1)
    second = heard("I get a hint of cedar and some leather.", cedar=0.4)
    assert [w.text for w in merge(first, second, habit)] == [w.text for w in second]
    assert merge(first, second, habit)[0] is first[0]


def test_a_second_hearing_does_not_put_a_name_over_good_english(habit: Habit) -> None:
    """What the sessions say all the time stays."""
    first = heard("And that is what I get at the end of it.", end=0.4)
    second = heard("And that is what I get at the endive fit.", endive=0.2, fit=0.2)
    assert [w.text for w in merge(first, second, habit)] == [w.text for w in first]


def test_two_equal_hearings_differ_nowhere(habit: Habit) -> None:
    """The first one's very words come back."""
    words = heard("The draw is open.")
    assert differences(["a", "b"], ["a", "b"]) == []
    assert merge(words, heard("The draw is open."), habit) == words


def test_a_flavour_nobody_named_is_expected_where_flavours_are(lexicon: Lexicon) -> None:
    """Counted as a kind: likelier after "hint of" than after a word that no flavour follows."""
    gold = {"takes": [{"sentences": [{"t": "A hint of cedar."}, {"t": "A hint of cocoa."}, {"t": "The draw went."}]}]}
    habit = Habit(count([gold, gold], lexicon), lexicon)
    assert habit.after("of", "leather") > habit.after("draw", "leather")


def test_probabilities_after_a_word_are_one_together(lexicon: Lexicon) -> None:
    """Of all words that were said, with what is left for unseen ones, never more than one."""
    habit = load(lexicon)
    counts = Counts({"a": 6, "b": 3, END: 3}, frozenset(), {("a", "b"): 3, ("b", END): 3})
    small = Habit(counts, lexicon)
    assert sum(math.exp(small.after("a", w)) for w in ("a", "b", END)) <= 1.0
    assert habit.after("the", "wrapper") > habit.after("the", "of")


def test_counts_are_kept_and_read_again(tmp_path: Path, lexicon: Lexicon) -> None:
    """Equal counts give equal bytes; a broken file is named."""
    counts = Counts({"the": 9, "draw": 4}, frozenset({"draw"}), {("the", "draw"): 4, ("draw", END): 2})
    one, two = tmp_path / "one.xz", tmp_path / "two.xz"
    save(counts, one)
    save(counts, two)
    assert one.read_bytes() == two.read_bytes()
    assert load(lexicon, one).after("the", "draw") == Habit(counts, lexicon).after("the", "draw")
    two.write_bytes(one.read_bytes()[:40])
    with pytest.raises(ModelError, match=r"two\.xz"):
        load(lexicon, two)


def test_numbers_and_ends_are_tokens() -> None:
    """Digits and number words are one token, a full stop is another."""
    assert tokens("Fifty-two ring. The cap's off") == ("#", "ring", END, "the", "cap", "'s", "off")
