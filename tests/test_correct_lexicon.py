"""`voicedraft lexicon`: what was learned is shown, forgotten, edited, taken elsewhere; bad files are named."""

from __future__ import annotations

import shutil
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner

from tests import correcting
from tests.correcting import correct, teach, tree
from voicedraft.cli import run
from voicedraft.cli.lexicon import command
from voicedraft.correct.learning import Store, build, learn
from voicedraft.correct.session import Session
from voicedraft.errors import InputError, LexiconError
from voicedraft.lexicon import load_lexicon
from voicedraft.paths import user_lexicon


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return correcting.draft(tmp_path / "draft")


def test_show_names_each_thing_and_its_event(folder: Path) -> None:
    """Two lessons and a passage, each with the id of its correction."""
    with Session(folder, write=False) as session:
        correct(session, "descriptor.add", source={"passage": "p5"},
                new={"term": "wet blackboard", "stage": "first", "family": "mineral"})
        correct(session, "passage.label", passage="p5", section="burn", stage="first")
        learn(session)
        first, second = (e.id for e in session.contents.events)
    printed = CliRunner().invoke(command, ["show"]).output
    assert "Fenwick Tollgate" in printed
    assert f"  {first}  flavour “wet blackboard”, family mineral\n" in printed
    assert f"  {second}  “The burn line is straight and the draw…” is Draw and burn\n" in printed
    assert "sections: 1 corrected or accepted of 10 passages" in printed


def test_show_says_when_nothing_was_learned() -> None:
    """And how to begin."""
    assert "Nothing has been learned yet" in CliRunner().invoke(command, ["show"]).output


def test_a_forgotten_lesson_leaves_the_layer_and_its_correction_stays(folder: Path) -> None:
    """The draft still shows the correction; learning again does not bring the lesson back."""
    teach(folder, "descriptor.add", source={"passage": "p5"}, new={"term": "wet blackboard", "stage": "first"})
    event = Store().lessons()[0][1].event
    assert run(["lexicon", "forget", event]) == 0
    assert load_lexicon(user_lexicon()).family("wet blackboard") is None
    with Session(folder, write=False) as session:
        assert "wet blackboard" in {d.term for d in session.review.descriptors}
        learn(session)
    assert load_lexicon(user_lexicon()).family("wet blackboard") is None
    assert run(["lexicon", "forget", "nonsense"]) == 2
    assert run(["lexicon", "forget"]) == 2


def test_everything_can_be_forgotten_but_ones_own_words(folder: Path) -> None:
    """Nothing of the lessons is left."""
    store = Store()
    store.own.mkdir(parents=True)
    own = '[family.wood]\nterms = [{term = "driftwood plank"}]\n'
    (store.own / "descriptors.toml").write_text(own, encoding="utf-8")
    teach(folder, "descriptor.add", source={"passage": "p5"}, new={"term": "wet blackboard", "stage": "first"})
    assert run(["lexicon", "forget", "--all"]) == 0
    lexicon = load_lexicon(store.folder)
    assert (lexicon.family("driftwood plank"), lexicon.family("wet blackboard")) == ("wood", None)
    assert list(store.learned.glob("*")) == []


def test_an_export_brought_to_another_computer_teaches_the_same(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Lessons, own words and what was forgotten travel; importing twice adds nothing."""
    teach(folder, "descriptor.add", source={"passage": "p5"}, new={"term": "wet blackboard", "stage": "first"})
    teach(folder, "descriptor.add", source={"passage": "p5"}, new={"term": "hot tarpaulin", "stage": "first"})
    run(["lexicon", "forget", Store().lessons()[1][1].event])
    store = Store()
    store.own.mkdir(parents=True, exist_ok=True)
    (store.own / "pairings.toml").write_text('[drink]\nown = ["birch sap"]\n', encoding="utf-8")
    build(store)
    assert run(["lexicon", "export", str(tmp_path / "words.zip")]) == 0
    assert (tmp_path / "words.zip").read_bytes() == store.export()
    before = tree(store.folder)
    monkeypatch.setenv("VOICEDRAFT_LEXICON", str(tmp_path / "elsewhere"))
    printed = CliRunner().invoke(command, ["import", str(tmp_path / "words.zip")]).output
    assert "Added the lessons of 1 drafts and 1 files of words." in printed
    assert tree(user_lexicon()) == before
    assert "Added the lessons of 0 drafts and 0 files" in CliRunner().invoke(
        command, ["import", str(tmp_path / "words.zip")]).output


@pytest.mark.parametrize("name", ["../evil.toml", "own/../../evil.toml", "/etc/evil", "own/x.py", "learned/short.json",
                                  "own/descriptors.toml/x"])
def test_an_import_writes_only_where_it_may(tmp_path: Path, name: str) -> None:
    """A name that leads elsewhere refuses the whole archive."""
    with zipfile.ZipFile(tmp_path / "x.zip", "w") as archive:
        archive.writestr("own/pairings.toml", "[drink]\nown = []\n")
        archive.writestr(name, "x = 1")
    with pytest.raises(InputError, match="no export of a lexicon"):
        Store().import_((tmp_path / "x.zip").read_bytes())
    assert not user_lexicon().exists()


@pytest.mark.parametrize("data", [b"", b"not a zip", b"PK\x03\x04 torn"])
def test_what_is_no_export_is_refused(data: bytes, tmp_path: Path) -> None:
    """With the command that makes one."""
    with pytest.raises(InputError, match="voicedraft lexicon export FILE"):
        Store().import_(data)
    with zipfile.ZipFile(tmp_path / "x.zip", "w") as archive:
        archive.writestr("own/pairings.toml", "this is = = no toml")
    with pytest.raises(InputError, match=r"damaged: own/pairings\.toml"):
        Store().import_((tmp_path / "x.zip").read_bytes())


def test_an_archive_that_is_locked_or_spoilt_is_refused_by_name(tmp_path: Path) -> None:
    """A password, and every single changed byte of an export: refused in a sentence, or nothing was changed by it."""
    own = Store().own
    own.mkdir(parents=True)
    (own / "pairings.toml").write_text("[drink]\n" + "".join(f'k{n} = ["rum {n}"]\n' for n in range(9)), "utf-8")
    good = Store().export()
    locked = bytearray(good)
    for start in (good.index(b"PK\x03\x04") + 6, good.index(b"PK\x01\x02") + 8):
        locked[start] |= 1
    with pytest.raises(InputError, match="locked with a password"):
        Store(tmp_path / "locked").import_(bytes(locked))
    refused = 0
    for place in range(len(good)):
        spoilt = bytearray(good)
        spoilt[place] ^= 0x5A
        store = Store(tmp_path / "spoilt")
        try:
            store.import_(bytes(spoilt))
        except InputError:
            refused += 1
        else:
            assert not store.own.exists() or tree(store.own) == tree(own)
        shutil.rmtree(store.folder, ignore_errors=True)
    assert refused > len(good) / 2


@pytest.mark.parametrize("where", ["descriptors.toml", "own/descriptors.toml", "learned/forgotten.json",
                                   "learned/0123456789abcdef01234567.json"])
def test_a_file_that_is_no_text_is_named(
    where: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever lies in the user's folder, the commands end with a sentence that names it."""
    monkeypatch.setenv("VISUAL", "true")
    path = user_lexicon() / where
    path.parent.mkdir(parents=True)
    path.write_bytes(b"\xff\xfe\x00 no text")
    assert 2 in {run(["lexicon", "show"]), run(["lexicon", "edit", "pairings"])}
    assert path.name in capsys.readouterr().err


def test_own_words_are_edited_in_the_editor(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """The file begins with an example; what is written is in the layer; a mistake is named and nothing lost."""
    script = tmp_path / "editor"
    script.write_text('#!/bin/sh\nprintf \'[family.wood]\\nterms = [{term = "driftwood plank"}]\\n\' >> "$1"\n')
    script.chmod(0o755)
    monkeypatch.setenv("VISUAL", str(script))
    assert run(["lexicon", "edit", "descriptors"]) == 0
    path = Store().own / "descriptors.toml"
    assert path.read_text(encoding="utf-8").startswith("# Your own words")
    assert load_lexicon(user_lexicon()).family("driftwood plank") == "wood"
    path.write_text("[family", encoding="utf-8")
    with pytest.raises(LexiconError, match=r"descriptors\.toml cannot be read"):
        build(Store())
    assert load_lexicon(user_lexicon()).family("driftwood plank") == "wood"
    assert run(["lexicon", "edit", "nonsense"]) == 2
