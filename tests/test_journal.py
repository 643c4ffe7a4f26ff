"""The correction journal: what is written, what survives, and how two writers meet."""

from __future__ import annotations

import json
import multiprocessing
import os
from datetime import datetime
from pathlib import Path

import pytest

from tests import correcting
from tests.correcting import correct, everything, passage
from voicedraft.correct.apply import RULES
from voicedraft.correct.errors import CorrectionError, StaleError
from voicedraft.correct.journal import JOURNAL, active, next_redo
from voicedraft.correct.session import Session
from voicedraft.draft.write import read_review
from voicedraft.errors import OutputError


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return correcting.draft(tmp_path / "draft")


def _lines(folder: Path) -> list[dict[str, object]]:
    return [json.loads(x) for x in (folder / JOURNAL).read_text(encoding="utf-8").splitlines()]


def test_a_state_gives_back_the_review_it_was_made_from() -> None:
    """Without a correction, nothing in the document changes."""
    from voicedraft.correct.replay import compile_review
    from voicedraft.correct.state import State

    review = correcting.review()
    assert compile_review(State.of(review)) == review


def test_every_kind_of_correction_is_tried_by_these_tests(folder: Path) -> None:
    """The list of kinds and the list of what the tests correct are the same."""
    with Session(folder) as session:
        for step in everything(session):
            step()
        assert {e.what for e in session.contents.events} == set(RULES)


def test_each_event_says_who_when_what_old_and_new(folder: Path) -> None:
    """One line of the journal holds all of it, the words included."""
    with Session(folder, who="Ada") as session:
        correct(session, "passage.label", passage="p5", section="burn", stage="first")
    (line,) = _lines(folder)
    assert (line["who"], line["what"], line["base"]) == ("Ada", "passage.label", 0)
    assert datetime.fromisoformat(str(line["when"])).utcoffset() is not None
    assert line["old"] == {"section": "first_third", "stage": "first"}
    assert line["new"] == {"section": "burn", "stage": "first"}
    anchor = line["target"]["at"]  # type: ignore[index]
    assert " ".join(anchor["words"]) == "The burn line is straight and the draw is easy."


def test_the_reading_and_what_was_heard_never_change(folder: Path) -> None:
    """After every kind of correction, reading.json is the same bytes and the heard words are the same words."""
    before = (folder / "reading.json").read_bytes()
    heard = " ".join(p.heard for p in correcting.review().passages)
    with Session(folder) as session:
        for step in everything(session):
            step()
        assert " ".join(p.heard for p in session.review.passages) == heard
    assert (folder / "reading.json").read_bytes() == before


def test_the_readable_draft_follows_each_correction(folder: Path) -> None:
    """review.json, review.md, review.html and transcript.vtt show the correction after a flush."""
    with Session(folder) as session:
        words = correcting.offsets(passage(session.review, "Fenwick"), "habano")
        correct(session, "words.fix", passage="p2", **words, text="Connecticut")
        session.flush()
        for name in ("review.json", "review.md", "review.html", "transcript.vtt"):
            assert "Connecticut" in (folder / name).read_text(encoding="utf-8"), name
        assert read_review(folder / "review.json") == session.review


def test_a_correction_is_on_the_disk_before_it_is_answered(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The journal's file is synchronised between the write and the return."""
    seen: list[tuple[str, int]] = []
    write, sync = os.write, os.fsync
    monkeypatch.setattr(os, "write", lambda fd, data: seen.append(("write", fd)) or write(fd, data))
    monkeypatch.setattr(os, "fsync", lambda fd: seen.append(("sync", fd)) or sync(fd))
    with Session(folder, write=False) as session:
        correct(session, "passage.accept", passage="p1")
        assert [kind for kind, _ in seen] == ["write", "sync"]
        assert seen[0][1] == seen[1][1]


@pytest.mark.parametrize("torn", [b'{"id": "x", "who"', b"\xff\xfe\x00", b'{"id": 5}'])
def test_a_torn_last_line_costs_only_itself(folder: Path, torn: bytes) -> None:
    """Every whole event before it counts, and the next correction starts on a line of its own."""
    with Session(folder) as session:
        correct(session, "passage.accept", passage="p1")
    with (folder / JOURNAL).open("ab") as file:
        file.write(torn)
    with Session(folder) as session:
        assert session.revision == 1
        assert session.contents.damaged == (2,)
        correct(session, "passage.aside", passage="p7")
    with Session(folder) as session:
        assert [e.what for e in session.contents.events] == ["passage.accept", "passage.aside"]


def test_no_space_means_no_correction(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the line cannot be written whole, the person is told, nothing counts, and no half line stays."""
    write = os.write

    def full(fd: int, data: bytes) -> int:
        if len(data) > 40:
            return write(fd, data[:40])
        raise OSError(28, "No space left on device")

    with Session(folder) as session:
        correct(session, "passage.accept", passage="p1")
        size = (folder / JOURNAL).stat().st_size
        monkeypatch.setattr(os, "write", lambda fd, data: full(fd, data[:60]))
        with pytest.raises(OutputError, match=r"No space left.*Free some space"):
            correct(session, "passage.aside", passage="p7")
        monkeypatch.undo()
        assert (folder / JOURNAL).stat().st_size == size
        assert session.revision == 1
        assert session.review.passages[6].section == "second_third"


def test_undo_and_redo_are_events_and_lead_back_to_the_same_draft(folder: Path) -> None:
    """After undoing everything the draft is the reading; after redoing everything it is the corrected draft."""
    with Session(folder) as session:
        start = session.review
        for step in everything(session):
            step()
        done, count = session.review, session.revision
        for _ in range(count):
            session.undo(session.revision)
        assert session.review == start
        with pytest.raises(CorrectionError, match="no correction to take back"):
            session.undo(session.revision)
        for _ in range(count):
            session.redo(session.revision)
        assert session.review == done
        assert session.revision == 3 * count


def test_a_new_correction_after_an_undo_ends_the_redo(folder: Path) -> None:
    """What was undone before something else was corrected is not brought back by redo."""
    with Session(folder) as session:
        correct(session, "passage.aside", passage="p7")
        session.undo(session.revision)
        correct(session, "passage.accept", passage="p1")
        assert next_redo(session.contents.events) is None
        with pytest.raises(CorrectionError, match="no undone correction"):
            session.redo(session.revision)


def test_any_earlier_correction_can_be_taken_back_by_itself(folder: Path) -> None:
    """Later corrections stay."""
    with Session(folder) as session:
        first = correct(session, "passage.aside", passage="p7").event
        correct(session, "passage.accept", passage="p1")
        session.undo(session.revision, first.id)
        assert [e.what for e in active(session.contents.events)] == ["passage.accept"]
        assert session.review.passages[6].section == "second_third"


def test_the_later_of_two_writers_is_told_what_changed_and_loses_nothing(folder: Path) -> None:
    """A correction made on an old revision is refused with the changes since, and can be made again on top."""
    with Session(folder) as one, Session(folder) as two:
        correct(one, "passage.aside", passage="p7")
        with pytest.raises(StaleError, match="left out") as told:
            two.change(correcting.wish("passage.accept", passage="p1"), 0)
        assert told.value.revision == 1
        assert len(told.value.changed) == 1
        correct(two, "passage.accept", passage="p1")
        assert two.review.passages[6].section == "aside"
        one.refresh()
        assert one.review == two.review


def _accept_many(folder: Path, ids: list[str]) -> None:
    session = Session(folder, write=False)
    for passage_id in ids:
        while True:
            try:
                session.change(correcting.wish("passage.accept", passage=passage_id), session.revision)
                break
            except StaleError:
                session.refresh()


def test_two_processes_write_one_journal_without_losing_a_line(folder: Path) -> None:
    """Forty corrections from two processes at once are forty whole lines, each made on the one before."""
    context = multiprocessing.get_context("spawn")
    workers = [context.Process(target=_accept_many, args=(folder, ids * 4)) for ids in
               (["p1", "p2", "p3", "p4", "p5"], ["p6", "p7", "p8", "p9", "p10"])]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert [w.exitcode for w in workers] == [0, 0]
    lines = _lines(folder)
    assert len(lines) == 40
    assert [line["base"] for line in lines] == list(range(40))


def test_a_folder_without_a_draft_is_named(tmp_path: Path) -> None:
    """The message says what to do first."""
    with pytest.raises(OutputError, match="Make a draft first"):
        Session(tmp_path)


def test_corrections_without_their_reading_are_not_laid_on_something_else(folder: Path) -> None:
    """Where reading.json is gone and corrections exist, the corrected review is not taken for a reading."""
    with Session(folder) as session:
        correct(session, "passage.accept", passage="p1")
    (folder / "reading.json").unlink()
    with pytest.raises(OutputError, match=r"reading\.json is missing"):
        Session(folder)
