"""The second hearing: which names are told, and which words of it are kept."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import cast

import numpy as np
import pytest

from voicedraft.errors import ModelError
from voicedraft.hear.doubt import MOST_WORDS, Doubt
from voicedraft.hear.habit import END, Counts, Habit, load, save, tokens
from voicedraft.hear.kept import may_stand
from voicedraft.hear.key import hearing_key
from voicedraft.hear.merge import differences, merge
from voicedraft.hear.options import HearOptions
from voicedraft.hear.recognise import Encoded, HeardWord, Recogniser, Result
from voicedraft.hear.second import TOLD, SecondHearing
from voicedraft.hear.sounds import Sounds
from voicedraft.hear.windows import Window
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
    """The first one's very words come back, though the second one has other times and is surer."""
    words = heard("The draw is open.", draw=0.4)
    again = [HeardWord(w.text, w.start + 0.1, w.end + 0.1, 0.999) for w in words]
    assert differences(["a", "b"], ["a", "b"]) == []
    merged = merge(words, again, habit)
    assert len(merged) == len(words)
    assert all(one is other for one, other in zip(merged, words, strict=True))


@pytest.mark.parametrize(("said", "again"), [
    ("It is not bitter.", "It is bitter."), ("No cedar here.", "Cedar here."), ("It isn't bitter.", "It is bitter."),
    ("It is bitter.", "It is not bitter."), ("There is nothing sweet.", "There is something sweet."),
    ("It went without pepper.", "It went with pepper."), ("It can’t be cedar.", "It can be cedar."),
    ("I never get leather.", "I get leather."), ("I know cedar.", "I no cedar."),
    ("None of the cedar left.", "One of the cedar left."), ("Nor any leather.", "For any leather."),
])
def test_a_denial_is_neither_lost_nor_added(said: str, again: str, habit: Habit) -> None:
    """However unsure the first hearing is of it: what was said would be turned into its opposite."""
    first = [HeardWord(w.text, w.start, w.end, 0.3) for w in heard(said)]
    assert [w.text for w in merge(first, heard(again), habit)] == said.split()


def test_a_denial_said_short_may_be_said_long(habit: Habit) -> None:
    """Both deny the same, and a name beside a denial that stays may be mended."""
    assert may_stand(["isn't"], ["is", "not"])
    assert may_stand(["not", "kelpdu"], ["not", "cedar"])
    first = heard("There is no kelpdu and some leather.", kelpdu=0.1)
    second = heard("There is no cedar and some leather.")
    assert [w.text for w in merge(first, second, habit)] == [w.text for w in second]


@pytest.mark.parametrize(("said", "again"), [
    ("It is twelve dollars.", "It is twenty dollars."), ("I give it eight out of ten.", "I give it eighty."),
    ("It is 12 dollars.", "It is 20 dollars."), ("It is an 8.5 for me.", "It is an 85 for me."),
    ("The first third is cedar.", "The second third is cedar."), ("I give it 9.5 points.", "I give it 95 points."),
    ("I ate the whole thing.", "I eight the whole thing."), ("A fifty-two ring.", "A fifty ring."),
    ("I gave it ninety one.", "I gave it ninety."),
])
def test_a_number_is_neither_changed_nor_lost_nor_added(said: str, again: str, habit: Habit) -> None:
    """To the habit all numbers are one; the first hearing's stand, however unsure it is of them."""
    first = [HeardWord(w.text, w.start, w.end, 0.001) for w in heard(said)]
    assert [w.text for w in merge(first, heard(again), habit)] == said.split()
    assert not may_stand(said.split(), again.split())


def test_words_stay_in_the_order_of_time(habit: Habit) -> None:
    """A word of the second hearing that it puts later, or earlier, than its neighbours of the first."""
    first = heard("I get a hint of kelpdu and some leather.", kelpdu=0.1)
    for moved in (0.9, -0.9):
        second = [HeardWord(w.text, w.start + moved, w.end + moved, w.probability)
                  for w in heard("I get a hint of cedar and some leather.", cedar=0.4)]
        merged = merge(first, second, habit)
        assert merged[5].text == "cedar"
        assert [w.start for w in merged] == sorted(w.start for w in merged)
        assert [w.end for w in merged] == sorted(w.end for w in merged)
        assert all(w.start <= w.end for w in merged)


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


class Hearer:
    """A recogniser that hears the words it is given, and keeps the prompts it was told."""

    def __init__(self, words: Sequence[HeardWord], log_probability: float = -0.2) -> None:
        self.words, self.log_probability = list(words), log_probability
        self.prompts: list[str] = []

    def decode(
        self, encoded: Sequence[Encoded], seconds: Sequence[float], hotwords: str, beam: int
    ) -> list[Result]:
        self.prompts.append(hotwords)
        text = " ".join(w.text for w in self.words)
        return [Result(text, (1,), self.log_probability, 0.01, 1.2, seconds[0])]

    def align(self, encoded: Encoded, result: Result) -> list[HeardWord]:
        return self.words


FIRST = heard("I get a hint of swayed glove and some leather.", swayed=0.3)
RIGHT = "I get a hint of suede glove and some leather."
WINDOW = Window(1, 0, np.zeros(16000 * 8, np.float32), (0,), (0,), 7.0)


def second_hearing(
    hearer: Hearer, lexicon: Lexicon, words: Sequence[HeardWord], told: Sequence[str]
) -> list[HeardWord]:
    hearing = SecondHearing(cast(Recogniser, hearer), lexicon)
    return hearing(words, WINDOW, np.zeros((1, 1, 1), np.float32), told)


def test_a_doubtful_word_is_mended_by_the_second_hearing(lexicon: Lexicon) -> None:
    """The name that sounds like it was told, heard, and kept; the rest is the first hearing's."""
    hearer = Hearer(heard(RIGHT, suede=0.6))
    out = second_hearing(hearer, lexicon, FIRST, ["cedar"])
    assert [w.text for w in out] == RIGHT.split()
    assert all(one is other for i, (one, other) in enumerate(zip(out, FIRST, strict=True)) if i != 5)
    assert len(hearer.prompts) == 1
    assert "suede" in hearer.prompts[0].lower()


def test_a_window_with_nothing_doubtful_is_not_heard_again(lexicon: Lexicon) -> None:
    """The recogniser is not asked, and the words are the same ones."""
    hearer = Hearer(heard(RIGHT))
    sure = heard("I get a hint of swayed glove and some leather.")
    out = second_hearing(hearer, lexicon, sure, ["cedar"])
    assert hearer.prompts == []
    assert len(out) == len(sure)
    assert all(one is other for one, other in zip(out, sure, strict=True))


def test_a_second_hearing_that_the_guard_refuses_changes_nothing(lexicon: Lexicon) -> None:
    """The same words, but the model was too unsure of them all together."""
    hearer = Hearer(heard(RIGHT, suede=0.6), log_probability=-1.5)
    out = second_hearing(hearer, lexicon, FIRST, ["cedar"])
    assert len(hearer.prompts) == 1
    assert all(one is other for one, other in zip(out, FIRST, strict=True))


def test_a_told_word_that_the_sound_does_not_bear_out_is_not_believed(lexicon: Lexicon) -> None:
    """It was read from the prompt: the whole second hearing is left."""
    out = second_hearing(Hearer(heard(RIGHT, suede=0.001)), lexicon, FIRST, ["cedar"])
    assert [w.text for w in out] == [w.text for w in FIRST]


def test_no_more_names_are_told_than_there_is_room_for(lexicon: Lexicon) -> None:
    """Those that sound alike first, then of what the window was told before; no name twice."""
    hearer = Hearer(heard(RIGHT, suede=0.6))
    second_hearing(hearer, lexicon, FIRST, ["Suede", *(f"name{i}" for i in range(100))])
    told = hearer.prompts[0].lower().replace(".", ",").strip(",").split(", ")
    assert len(told) == TOLD
    assert told.count("suede") == 1
    assert told.index("suede") < told.index("name0")


def test_other_counts_in_the_same_file_are_another_hearing(tmp_path: Path, lexicon: Lexicon) -> None:
    """The key goes by what the file holds and not by where it lies; without the trade words it does not count."""
    one, two = tmp_path / "one.xz", tmp_path / "two.xz"
    save(Counts({"the": 9, "draw": 4}, frozenset(), {("the", "draw"): 4}), one)
    two.write_bytes(one.read_bytes())

    def key(file: Path, bias: bool = True) -> str:
        return hearing_key(HearOptions(habit=file, bias=bias), lexicon, "model", "int8")

    before, plain = key(one), key(one, bias=False)
    assert key(two) == before
    save(Counts({"the": 9, "draw": 5}, frozenset(), {("the", "draw"): 4}), one)
    assert key(one) != before
    assert key(one, bias=False) == plain
    with pytest.raises(ModelError, match=r"none\.xz"):
        key(tmp_path / "none.xz")


def test_the_counts_that_come_with_the_program_are_part_of_the_key(
    tmp_path: Path, lexicon: Lexicon, monkeypatch: pytest.MonkeyPatch
) -> None:
    """New counts in a new release: what was heard with the old ones is not taken."""
    key = hearing_key(HearOptions(), lexicon, "model", "int8")
    other = tmp_path / "habit.xz"
    save(Counts({"the": 9}, frozenset(), {}), other)
    monkeypatch.setattr("voicedraft.hear.habit.FILE", other)
    assert hearing_key(HearOptions(), lexicon, "model", "int8") != key


def test_other_rules_of_sound_are_another_hearing(lexicon: Lexicon) -> None:
    """One rule more in the table of sounds changes the key, though all names are the same."""
    sounds = dict(lexicon.table("sounds"))
    sounds["rules"] = [*sounds["rules"], "|zz||z"]
    other = replace(lexicon, tables={**lexicon.tables, "sounds": sounds})
    options = HearOptions()
    assert hearing_key(options, other, "model", "int8") != hearing_key(options, lexicon, "model", "int8")
