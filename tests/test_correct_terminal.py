"""Correcting in the terminal, typed through a pipe as a person types it."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from click.testing import CliRunner
from prompt_toolkit.application import create_app_session
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput
from rich.console import Console

from tests import correcting, sounding
from voicedraft.correct.apply import RULES
from voicedraft.correct.session import Session
from voicedraft.correct.terminal import Terminal
from voicedraft.correct.terminal.player import RATE, Device, PlayError, cut
from voicedraft.correct.terminal.screen import rows
from voicedraft.draft.document import Review
from voicedraft.draft.wording import STRENGTH_NAMES

Sit = Callable[..., str]


class Ears:
    """Keeps what would sound."""

    def __init__(self) -> None:
        self.heard: list[npt.NDArray[np.float32]] = []

    def play(self, blocks: Iterable[npt.NDArray[np.float32]]) -> None:
        self.heard.append(np.concatenate(list(blocks)))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return sounding.drafted(tmp_path)


@pytest.fixture
def ears() -> Ears:
    return Ears()


@pytest.fixture
def sit(folder: Path, ears: Ears) -> Sit:
    """Types lines, each ended by Enter, and gives what was printed."""

    def type_(lines: tuple[str, ...], printed: io.StringIO) -> None:
        with create_pipe_input() as keys, create_app_session(input=keys, output=DummyOutput()):
            keys.send_text("".join(f"{line}\r" for line in lines) + "q\r")
            with Session(folder, who="Ada") as session:
                Terminal(session, Console(file=printed, width=120, highlight=False), ears).run()

    def sit(*lines: str) -> str:
        """In a thread of its own: the browser tests leave an event loop running in this one."""
        printed = io.StringIO()
        with ThreadPoolExecutor(1) as apart:
            apart.submit(type_, lines, printed).result()
        return printed.getvalue()

    return sit


def _review(folder: Path) -> Review:
    with Session(folder, write=False) as session:
        return session.review


def _fill(text: str) -> str:
    """Keys that clear a filled line and write another: Ctrl-A, Ctrl-K."""
    return f"\x01\x0b{text}"


def test_it_begins_at_the_first_passage_to_look_at(sit: Sit) -> None:
    """With its place, clock, section and confidence."""
    printed = sit()
    assert "10 passages." in printed
    assert "5 of 10  5:16  take 2  First third  90 % sure  look at this first" in printed


def test_one_moves_by_step_number_clock_and_what_needs_a_look(sit: Sit) -> None:
    """Each prints where one is then."""
    printed = sit("n", "p", "2", "5:25", "l", "look", "99", "nonsense")
    for place in ("6 of 10", "5 of 10", "2 of 10", "7 of 10"):
        assert place in printed
    assert "heard: This is the Fenwick Tollgate toro with a hay bano wrapper." in printed
    assert "There is no passage 99; the last is 10." in printed
    assert "There is no command “nonsense”." in printed


def test_sections_and_stages_are_given_by_the_beginning_of_their_names(sit: Sit, folder: Path) -> None:
    """Draw and burn takes the third around it; a stage may be none; what is unclear is asked anew."""
    printed = sit("s draw", "t final", "9", "t none", "s p")
    review = _review(folder)
    assert (review.passages[4].section, review.passages[4].stage) == ("burn", "final")
    assert review.passages[8].stage is None
    assert "“p” is not one of: Background, Appearance" in printed
    assert "Saved: passage at 5:16: Draw and burn, first third in place of First third" in printed


def _number(folder: Path, label: str) -> int:
    """The number that `values` prints before a value."""
    return next(n for n, row in enumerate(rows(_review(folder)), start=1) if row.label == label)


def test_every_kind_of_correction_can_be_made(sit: Sit, folder: Path) -> None:
    """The same operations as on the page, through typed lines with prefilled answers."""
    sit("1", "a", "7", "aside", "6", "split 9", "6", "merge", "2", "heard", "fix 9 10", _fill("corojo"), "5", "s burn")
    sit("5", "add flavour 2 3", "", "", "", _fill("light"))
    sit(f"change {_number(folder, 'Foot: raisin')}", "", "", "", _fill("a hint"))
    sit(f"remove {_number(folder, 'Foot: cedar')}")
    sit(f"change {_number(folder, 'Strength, first third')}", "", _fill(STRENGTH_NAMES[4]))
    sit("5", "add strength 2 3", _fill("final"), "", "")
    sit(f"remove {_number(folder, 'Strength, final third')}")
    sit("2", "add fact 4 5", "made in", _fill("Honduras"), "")
    sit(f"change {_number(folder, 'Binder')}", "", _fill("no"))
    sit(f"remove {_number(folder, 'Made in')}")
    sit("5", "add score 2 3", _fill("burn"), "9", "")
    sit(f"change {_number(folder, 'Score: draw')}", "", _fill("8"), "")
    sit(f"remove {_number(folder, 'Score: burn')}")
    sit("7", "add pairing 5 5", _fill("to eat"), "")
    sit(f"change {_number(folder, 'To drink')}", "", _fill("old rum"))
    sit(f"remove {_number(folder, 'To eat')}")
    with Session(folder, write=False) as session:
        review = session.review
        assert {e.what for e in session.contents.events} == set(RULES)
        assert {e.who for e in session.contents.events} == {"Ada"}
    assert review.passages[1].text == "This is the Fenwick Tollgate toro with a corojo wrapper."
    assert [p.section for p in review.passages[4:7]] == ["burn", "second_third", "aside"]
    flavours = {(d.stage, d.term): d.intensity for d in review.descriptors}
    assert flavours == {("foot", "raisin"): "hint", ("first", "burn line"): "light", ("first", "cedar"): "strong",
                        ("second", "cedar"): None, ("second", "cocoa"): "medium"}
    assert {k: (s.low, s.high) for k, s in review.strength.items()} == {"first": (3, 4)}
    assert not review.facts["binder"].guessed
    assert [(x.aspect, x.value) for x in review.scores] == [("draw", 8)]
    assert [x.value for x in review.pairings.drink] == ["old rum"]
    assert review.pairings.food == ()


def test_undo_redo_and_taking_back_by_number(sit: Sit, folder: Path) -> None:
    """The list numbers the corrections and strikes what was taken back."""
    printed = sit("7", "aside", "u", "r", "1", "a", "back 1", "list", "back 77")
    assert _review(folder).passages[6].section == "second_third"
    assert "Saved: undone: passage at 5:25: left out, was Second third" in printed
    assert "   4  Ada: passage at 0:00: accepted as Left out (asides)" in printed
    assert "Give the number of a correction" in printed


def test_exactly_the_words_asked_for_are_played(sit: Sit, ears: Ears, folder: Path) -> None:
    """A passage, two of its words, the words of a value, and on to the end of the take."""
    sit("5", "play", "play 2 3", "values", "go 5", "on")
    passage = _review(folder).passages[4]
    whole, words, value, on = (len(s) / RATE for s in ears.heard)
    assert whole == pytest.approx(passage.end - passage.start, abs=0.05)
    assert words == pytest.approx(passage.words[2].end - passage.words[1].start, abs=0.05)
    assert value == pytest.approx(1.16, abs=0.05)
    assert on > 10
    assert all(np.abs(s).max() > 0.2 for s in ears.heard)


def test_the_words_that_sound_are_the_right_ones(folder: Path) -> None:
    """Cut from the middle of an Opus and of a FLAC take, a word has its own pitch."""
    review = _review(folder)
    for number, name in ((1, "take-01.opus"), (2, "take-02.flac")):
        take = review.takes[number - 1]
        words = [w for p in review.passages if p.take == number for w in p.words]
        word = words[9]
        path, low, high = folder.parent / "takes" / name, word.start - take.start + 0.05, word.end - take.start - 0.05
        samples = np.concatenate(list(cut(path, low, high)))
        spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples))))
        pitch = np.fft.rfftfreq(len(samples), 1 / RATE)[spectrum.argmax()]
        assert pitch == pytest.approx(220 + 20 * 9, abs=6)


def test_without_the_optional_package_the_message_names_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Playing is an extra of the package; what no device and a lost one say is in test_correct_sound.py."""
    monkeypatch.setitem(sys.modules, "sounddevice", None)
    with pytest.raises(PlayError, match=r"needs sounddevice: pip install"):
        Device().play([np.zeros(10, np.float32)])


def test_what_others_corrected_meanwhile_is_told_before_anything_is_done(folder: Path) -> None:
    """The command is not made on a draft that the person has not seen; given again, it is."""
    printed = io.StringIO()
    with Session(folder) as mine, Session(folder) as other:

        def lines() -> Iterator[str]:
            correcting.correct(other, "passage.aside", passage="p7")
            yield "a"
            yield "a"
            yield "q"

        typed = lines()
        Terminal(mine, Console(file=printed, width=200), Ears(), lambda question, default: next(typed)).run()
        assert [e.what for e in mine.contents.events] == ["passage.aside", "passage.accept"]
    assert "corrected elsewhere meanwhile (passage at 5:25: left out, was Second third)" in printed.getvalue()


def test_ctrl_c_in_a_question_leaves_the_value_as_it_was(sit: Sit, folder: Path) -> None:
    """And the terminal goes on."""
    printed = sit("change 1", "\x03", "1", "a")
    assert "Left as it was." in printed
    assert _review(folder).passages[0].evidence == ("correction: accepted by the reviewer",)


def test_spoken_markup_is_printed_as_text(tmp_path: Path) -> None:
    """rich's own markup in a passage is not acted on."""
    from voicedraft.draft.compose import compose
    from voicedraft.types import Reading

    transcript, passages = correcting.spoken(((("[red]so[/red] [link=x]it[/link] is", "verdict", None),),))
    folder = correcting.draft(tmp_path / "nasty", compose(Reading(transcript, passages)))
    printed = io.StringIO()
    lines = iter(["values", "words", "q"])
    with Session(folder) as session:
        Terminal(session, Console(file=printed, width=200), Ears(), lambda question, default: next(lines)).run()
    assert "[red]so[/red] [link=x]it[/link] is" in printed.getvalue()


def test_the_command_lists_corrections_and_names_a_missing_draft(folder: Path, tmp_path: Path) -> None:
    """`voicedraft correct DIR --list`, and a folder without a draft."""
    from voicedraft.cli import run
    from voicedraft.cli.correct import command

    with Session(folder) as session:
        correcting.correct(session, "passage.accept", passage="p1")
        session.undo(1)
    printed = CliRunner().invoke(command, [str(folder), "--list"]).output
    assert "reviewer: passage at 0:00: accepted as Left out (asides) (taken back)" in printed
    assert run(["correct", str(tmp_path / "nothing"), "--terminal"]) == 2
