"""The dictionary of things: made from WordNet, and used for names that no list of drinks and foods holds."""

from __future__ import annotations

from pathlib import Path

import pytest

from voicedraft.data import lexicon_dir
from voicedraft.lexicon import load_lexicon
from voicedraft.nouns import eaten, things
from voicedraft.train.things import eaten as made_eaten
from voicedraft.train.things import main
from voicedraft.train.things import things as made

NOUNS = Path("/usr/share/wordnet/data.noun")
"""WordNet 3.0 as Debian's wordnet-base installs it."""


def test_the_list_is_what_wordnet_makes_of_it() -> None:
    """The shipped lists hold the words that WordNet 3.0 gives, no more and no less, and none stands in both."""
    lines = NOUNS.read_text(encoding="ascii").splitlines()
    assert sorted(things()) == made(lines)
    assert sorted(eaten()) == made_eaten(lines)
    assert things().isdisjoint(eaten())


def test_a_word_with_any_sense_of_food_plant_or_animal_is_left_out() -> None:
    """Lines laid out as wndb(5WN) says: offset, file, type, count of words in hexadecimal, words and their numbers."""
    lines = [
        "  1 This software and database is being provided to you",
        "00000001 06 n 02 mitten 0 Polish 0 000 | a glove",
        "00000002 13 n 01 stew 0 000 | food",
        "00000003 26 n 01 stew 0 000 | a worry",
        "00000004 07 n 02 polish 0 wax_light 0 000 | a shine",
    ]
    assert made(lines) == ["mitten", "polish"]
    assert made_eaten(lines) == ["stew"]


@pytest.mark.parametrize("word", ["mitten", "fence", "chore", "tannin", "mattress"])
def test_things_are_in_it(word: str) -> None:
    """What nobody eats or drinks is a thing."""
    assert word in things()


def test_few_drinks_or_foods_of_our_own_list_are_things() -> None:
    """Of the names in lexicon/pairings.toml that are one word, hardly any is called a thing: the two sources agree."""
    table = load_lexicon().table("pairings")
    names = {n for kind in ("drink", "food") for group in table[kind].values() for n in group if n.isalpha()}
    wrong = names & things()
    assert len(names) > 300
    assert len(wrong) < 0.03 * len(names), sorted(wrong)


def test_making_it_writes_the_shipped_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The command gives the shipped bytes again."""
    monkeypatch.setattr("voicedraft.train.things.lexicon_dir", lambda: tmp_path)
    monkeypatch.setattr("sys.argv", ["things", str(NOUNS)])
    assert main() == 0
    for name in ("things.txt", "eaten.txt"):
        assert (tmp_path / name).read_bytes() == (lexicon_dir() / name).read_bytes()
