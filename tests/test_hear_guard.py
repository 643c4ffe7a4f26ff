"""What is believed of a window, and the words told to the model."""

from __future__ import annotations

import numpy as np
import pytest

from voicedraft.hear import bias, guard
from voicedraft.hear.recognise import HeardWord, Result
from voicedraft.hear.windows import Window
from voicedraft.lexicon import Lexicon, load_lexicon


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load_lexicon()


def window(voiced: float) -> Window:
    return Window(1, 0, np.zeros(int(voiced * 16000), np.float32), (0,), (0,), voiced)


def result(text: str, sure: float = -0.3, silence: float = 0.02, repetition: float = 1.4) -> Result:
    return Result(text, tuple(range(len(text.split()))), sure, silence, repetition, 10.0)


TOLD = ["cigar", "wrapper", "the foot", "the draw", "ash"]


@pytest.mark.parametrize(("heard", "voiced", "verdict"), [
    (result("the wrapper is dark and the draw is good"), 4.0, "keep"),
    (result(""), 4.0, "drop"),
    (result("something", sure=-1.3, silence=0.8), 4.0, "drop"),
    (result("Thank you."), 0.6, "drop"),
    (result("Thank you."), 8.0, "keep"),
    (result("Thanks for watching!", silence=0.5), 8.0, "drop"),
    (result("na na na na na na na na", repetition=3.1), 4.0, "again"),
    (result("mumbled speech here", sure=-1.2), 4.0, "again"),
    (result("Cigar, wrapper, the foot, the draw."), 4.0, "again"),
    (result("one two three four five six seven eight nine ten eleven twelve"), 0.8, "again"),
    (result("hmm cedar", sure=-0.9), 0.5, "again"),
])
def test_a_window_is_believed_heard_again_or_thrown_out(heard: Result, voiced: float, verdict: str) -> None:
    """Thresholds of Radford et al. 2022, section 4.5, and our own for short sounds, echoes and impossible haste."""
    assert guard.judge(heard, window(voiced), TOLD) == verdict


def test_a_second_hearing_must_be_better() -> None:
    """A ghost, a loop or a very unsure text does not stand."""
    assert guard.judge_again(result("the wrapper is dark"), window(4.0))
    assert not guard.judge_again(result("Thank you."), window(4.0))
    assert not guard.judge_again(result("na na na na", repetition=3.0), window(4.0))
    assert not guard.judge_again(result("hmm", sure=-1.6), window(4.0))


def test_a_flavour_list_that_somebody_says_is_no_echo() -> None:
    """Two phrases in the prompt's order may be chance; three one after the other are not."""
    assert not guard.echoes("cigar wrapper is dark, the foot is open", TOLD)
    assert guard.echoes("Wrapper. The foot. The draw.", TOLD)


@pytest.mark.parametrize("place", [0.0, 0.4, 1.0])
def test_the_prompt_is_short_and_differs_by_place(place: float, lexicon: Lexicon) -> None:
    """At most about fifty words, the cigar's name first, what was named already among them."""
    told = bias.bias_words(lexicon, place, "Copper Lantern", ["molasses"])
    assert told[0] == "Copper Lantern"
    assert "molasses" in told
    assert sum(len(w.split()) for w in told) <= bias.MOST_WORDS
    assert len({w.lower() for w in told}) == len(told)
    assert ("Habano" in told) == (place == 0.0)


def test_the_prompt_is_written_in_short_sentences(lexicon: Lexicon) -> None:
    """The model takes up the punctuation of its prompt."""
    said = bias.prompt(bias.bias_words(lexicon, 0.5, "", ()))
    assert said.endswith(".")
    assert said.count(".") >= 5
    assert bias.prompt([]) == ""


def test_what_was_named_is_told_again(lexicon: Lexicon) -> None:
    """Words of the lists that a window held."""
    assert bias.named_terms(lexicon, ["It", "has", "charred", "oak,", "and", "Habano."]) == ["Habano", "charred oak"]


@pytest.mark.parametrize(("probability", "text", "put_in"), [
    (0.01, "Nutmeg,", True), (0.2, "nutmeg", False), (0.01, "pistachio", False), (0.01, "the", False),
])
def test_a_word_of_the_prompt_that_the_sound_does_not_bear_out_is_noticed(
    probability: float, text: str, put_in: bool
) -> None:
    """Only a word of the prompt, only one of some length, only where the sound alone gives it next to no chance."""
    words = [HeardWord("and", 0.0, 0.2, 0.9), HeardWord(text, 0.2, 0.6, probability)]
    assert guard.put_in(words, ["the foot", "nutmeg"]) is put_in


@pytest.mark.parametrize(("count", "voiced", "left_out"), [
    (23, 27.0, True),
    (45, 27.0, False),
    (3, 4.0, False),
    (3, 8.0, True),
])
def test_a_passage_left_out_shows_by_too_few_words_for_the_speech(count: int, voiced: float, left_out: bool) -> None:
    """23 words for 27 s is what was once heard of 66, told trade words over a licence; few seconds tell nothing."""
    words = [HeardWord("word", n / 2, n / 2 + 0.4, 0.9) for n in range(count)]
    assert guard.sparse(words, window(voiced)) is left_out
