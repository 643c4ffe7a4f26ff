"""A journal with damaged or foreign lines opens all the same: what is not whole is named, the rest counts."""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests import correcting
from voicedraft.correct.journal import JOURNAL
from voicedraft.correct.reread import Reader
from voicedraft.correct.session import Session
from voicedraft.correct.web.payload import history, whole
from voicedraft.draft.write import write_draft

ODD: list[Any] = [
    None, -1, 0, 3, 10**9, 10**400, 1.5, float("nan"), "", "x", "<b>", [], {}, [1], {"a": 1}, True, ["descriptor"],
    "\ud800", "first", ["fact"], ["strength", "x"], "passage.label",
]


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A draft with one correction of every kind; the rewritten words carry a value, without the models' time."""
    monkeypatch.setattr(Reader, "read", lambda *arguments: {})
    folder = correcting.draft(tmp_path / "draft")
    with Session(folder, write=False) as session:
        for step in correcting.everything(session):
            step()
        session.undo(session.revision)
    lines = [json.loads(x) for x in (folder / JOURNAL).read_text(encoding="utf-8").splitlines()]
    for line in lines:
        if line["what"] == "words.fix":
            price = {"value": {"amount": 9, "currency": "USD"}, "guessed": False, "others": []}
            line["new"]["read"] = [{"key": ["fact", "price_single"], "old": None, "new": price, "own": True,
                                    "at": line["target"]["at"], "evidence": ["number: nine"], "kept": False}]
    _write(folder, lines)
    return folder


def _write(folder: Path, lines: list[dict[str, Any]]) -> None:
    (folder / JOURNAL).write_text("".join(f"{json.dumps(x)}\n" for x in lines), encoding="utf-8")


def _places(value: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if path:
        yield path
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in pairs:
        yield from _places(inner, (*path, key))


def _spoil(line: dict[str, Any], chance: random.Random) -> None:
    path = chance.choice(list(_places(line)))
    holder: Any = line
    for key in path[:-1]:
        holder = holder[key]
    if chance.random() < 0.2:
        del holder[path[-1]]
    else:
        holder[path[-1]] = chance.choice(ODD)


@pytest.mark.parametrize("seed", range(8))
def test_no_damage_keeps_a_draft_from_opening(folder: Path, tmp_path: Path, seed: int) -> None:
    """Parts of lines are replaced or taken out at random; the page's data and the written draft are made each time."""
    good = [json.loads(x) for x in (folder / JOURNAL).read_text(encoding="utf-8").splitlines()]
    chance = random.Random(seed)
    for n in range(60):
        lines = json.loads(json.dumps(good))
        for _ in range(chance.randint(1, 3)):
            _spoil(chance.choice(lines), chance)
        _write(folder, lines)
        with Session(folder, write=False) as session:
            whole(session, set())
            history(session)
            if n % 10 == 0:
                write_draft(session.review, tmp_path / "written")


def test_a_damaged_line_is_named_and_all_others_count(folder: Path) -> None:
    """With a section that does not exist in the first line, the other corrections make the same draft as without it."""
    lines = [json.loads(x) for x in (folder / JOURNAL).read_text(encoding="utf-8").splitlines()]
    _write(folder, lines[1:])
    with Session(folder, write=False) as session:
        wanted = session.review
        assert wanted.facts["price_single"].value == {"amount": 9, "currency": "USD"}
    lines[0]["new"]["section"] = "nowhere"
    _write(folder, lines)
    with Session(folder, write=False) as session:
        assert session.review == wanted
        assert next((x.event.id, x.reason) for x in session.unplaced) == (
            lines[0]["id"], "its line in the journal is not complete (ValueError)")
