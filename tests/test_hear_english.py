"""The pieces that English needs: what is left weighs what it did, any text can be written, other languages keep all."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import jiwer
import numpy as np
import pytest
from faster_whisper.tokenizer import Tokenizer as WhisperTokenizer
from faster_whisper.transcribe import get_suppressed_tokens
from hypothesis import given, settings
from hypothesis import strategies as st
from tokenizers import Tokenizer

from tests.hear_sounds import human_sentences
from voicedraft.errors import ModelError
from voicedraft.hear import HearOptions, english, hear, recognise, speech_model, tuned
from voicedraft.hear.english import FILE, English, load, save, shipped
from voicedraft.hear.key import hearing_key
from voicedraft.hear.model_file import variables
from voicedraft.hear.speech_model import find_speech_model, mended_tokenizer
from voicedraft.lexicon import load_lexicon
from voicedraft.models import model_path
from voicedraft.progress import SilentProgress
from voicedraft.train import gold_files
from voicedraft.train.vocabulary import choose

BASE = model_path("base")


@pytest.fixture(scope="module")
def cut(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of base with English alone."""
    folder = tmp_path_factory.mktemp("cut")
    for file in BASE.iterdir():
        shutil.copyfile(file, folder / file.name)
    (folder / "tokenizer.json").write_bytes(mended_tokenizer(BASE) or b"")
    shipped().put_into(folder)
    return folder


@pytest.fixture(scope="module")
def whole_tokens() -> Tokenizer:
    return Tokenizer.from_str((mended_tokenizer(BASE) or b"").decode())


@pytest.fixture(scope="module")
def cut_tokens(cut: Path) -> Tokenizer:
    return Tokenizer.from_file(str(cut / "tokenizer.json"))


def _pieces(folder: Path) -> list[str]:
    return (folder / "vocabulary.txt").read_text(encoding="utf-8").rstrip("\n").split("\n")


def test_every_matrix_but_the_embeddings_stays_and_of_those_the_rows_that_are_kept(cut: Path) -> None:
    """Read by name from both files; the second is a third of the embeddings shorter."""
    plain, made = (BASE / "model.bin").read_bytes(), (cut / "model.bin").read_bytes()
    before, after = variables(plain), variables(made)
    assert list(before) == list(after)
    for name, held in before.items():
        rows = held.read(plain)
        if name == "decoder/embeddings/weight":
            rows = rows[shipped().kept]
        assert np.array_equal(after[name].read(made), rows), name
    assert len(plain) - len(made) == 2 * 512 * (shipped().whole - len(shipped().kept))
    assert plain[-60:] == made[-60:]  # The aliases at the end: the projection is the embeddings.


def test_lines_and_numbers_name_the_same_pieces(cut: Path) -> None:
    """vocabulary.txt, tokenizer.json and config.json agree with one another and with the files as they came."""
    whole, left = _pieces(BASE), _pieces(cut)
    assert left == [whole[i] for i in shipped().kept]
    tokenizer = json.loads((cut / "tokenizer.json").read_text(encoding="utf-8"))
    assert all(left[i] == piece for piece, i in tokenizer["model"]["vocab"].items())
    assert all(left[t["id"]] == t["content"] for t in tokenizer["added_tokens"])
    before, after = (json.loads((f / "config.json").read_text(encoding="utf-8")) for f in (BASE, cut))
    for key in ("lang_ids", "suppress_ids_begin"):
        assert [left[i] for i in after[key]] == [whole[i] for i in before[key]]
    assert {left[i] for i in after["suppress_ids"]} == {whole[i] for i in before["suppress_ids"]} & set(left)
    assert after["alignment_heads"] == before["alignment_heads"]


@pytest.mark.parametrize("part", ["sessions", "lexicon"])
def test_english_is_cut_into_the_same_pieces(part: str, whole_tokens: Tokenizer, cut_tokens: Tokenizer) -> None:
    """The development sessions, which nothing was chosen by, and every name that the lexicon has."""
    if part == "lexicon":
        texts = [f" {name}" for name in load_lexicon().forms]
    else:
        files = [p for p in gold_files("sections") if p.parent.name == "sessions"]
        golds = [json.loads(p.read_text(encoding="utf-8")) for p in files]
        texts = [f" {s['t']}" for gold in golds for take in gold["takes"] for s in take["sentences"]]
    assert len(texts) > 1000
    differ = [t for t in texts if whole_tokens.encode(t, add_special_tokens=False).tokens
              != cut_tokens.encode(t, add_special_tokens=False).tokens]
    assert len(differ) <= len(texts) * 0.01, differ[:20]


@settings(max_examples=300, deadline=None)
@given(text=st.text(max_size=40))
def test_any_text_can_still_be_written(text: str, cut_tokens: Tokenizer) -> None:
    """All 256 bytes are left: other writings, signs, broken pairs."""
    clean = text.encode("utf-8", "ignore").decode()
    ids = cut_tokens.encode(clean, add_special_tokens=False).ids
    assert cut_tokens.decode(ids, skip_special_tokens=False) == clean


def test_the_same_signs_are_never_written(cut: Path, whole_tokens: Tokenizer, cut_tokens: Tokenizer) -> None:
    """faster-whisper's own list of suppressed pieces, by name, with both vocabularies."""
    whole, left = _pieces(BASE), _pieces(cut)
    before, after = (
        {names[i] for i in get_suppressed_tokens(WhisperTokenizer(t, True, task="transcribe", language="en"), [-1])}
        for t, names in ((whole_tokens, whole), (cut_tokens, left))
    )
    assert after == before & set(left)
    assert len(after) > 80


def test_human_speech_is_heard_as_with_the_whole_vocabulary(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Five read sentences (CMU, pocketsphinx's test data) with their transcripts: no more words wrong than with all
    pieces, the model as it came on both sides."""
    said = " ".join(text for _, text in human_sentences())
    wrong = []
    for whole in (False, True):
        if whole:
            monkeypatch.setattr(english, "for_model", lambda _: None)
        options = HearOptions(device="cpu", cache=tmp_path, taught=False, repair=False)
        words = [w.text for path, _ in human_sentences()
                 for w in hear([path], options, load_lexicon(), SilentProgress()).words]
        wrong.append(jiwer.wer(said.lower(), " ".join(words).lower().replace(".", "").replace(",", "")))
    assert wrong[0] <= wrong[1]


def test_what_was_learned_and_what_is_left_come_together_and_the_installed_model_stays() -> None:
    """What is loaded is the cut of the changed model, every matrix of it; the installed files are untouched."""
    model, before = find_speech_model("base"), {f.name: f.read_bytes() for f in BASE.iterdir()}
    with speech_model._as_loaded(model, tuned.shipped(), shipped()) as folder:
        made, names = (folder / "model.bin").read_bytes(), _pieces(folder)
    with speech_model._as_loaded(model, tuned.shipped(), None) as folder:
        whole = (folder / "model.bin").read_bytes()
    assert {f.name: f.read_bytes() for f in BASE.iterdir()} == before
    assert len(names) == len(shipped().kept)
    for (name, held), left in zip(variables(whole).items(), variables(made).values(), strict=True):
        rows = held.read(whole)
        wanted = rows[shipped().kept] if name.endswith("embeddings/weight") else rows
        assert np.array_equal(left.read(made), wanted), name


def test_a_folder_that_is_not_as_expected_is_loaded_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A missing tokenizer.json, another list of pieces beside it, another layout, a model too large to copy."""
    for file in BASE.iterdir():
        (tmp_path / file.name).symlink_to(file)
    assert english.for_model(tmp_path) is shipped()
    with monkeypatch.context() as large:
        large.setattr(english, "MOST_BYTES", 1 << 20)
        assert english.for_model(tmp_path) is None
    (tmp_path / "vocabulary.json").write_text("[]")
    assert english.for_model(tmp_path) is None
    (tmp_path / "vocabulary.json").unlink()
    (tmp_path / "tokenizer.json").rename(tmp_path / "other.json")
    assert english.for_model(tmp_path) is None
    (tmp_path / "other.json").rename(tmp_path / "tokenizer.json")
    (tmp_path / "model.bin").unlink()
    (tmp_path / "model.bin").write_bytes(b"\0" * 4096)
    assert english.for_model(tmp_path) is None


def test_other_languages_keep_all_pieces(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A language that is asked for, or that the model is to tell, is heard with the vocabulary as it came."""
    loaded: list[English | None] = []

    class Stop(Exception):
        pass

    def noted(self: Any, model: Any, device: Any, language: Any, tuned: Any, left: English | None) -> None:
        loaded.append(left)
        raise Stop

    monkeypatch.setattr(recognise.Recogniser, "__init__", noted)
    for language in ("en", "es", None):
        options = HearOptions(device="cpu", cache=tmp_path, language=language)
        with pytest.raises(Stop):
            hear([human_sentences()[0][0]], options, load_lexicon(), SilentProgress())
    assert loaded == [shipped(), None, None]
    assert english.for_model(model_path("tiny.en")) is None


def test_hearings_with_another_vocabulary_are_kept_apart() -> None:
    """The key names what was left out."""
    lexicon = load_lexicon()
    assert len({hearing_key(HearOptions(), lexicon, "m", "int8", "", v) for v in ("", "one", "two")}) == 3


def test_the_choice_is_made_again_byte_for_byte(tmp_path: Path) -> None:
    """From its sources, and from itself."""
    golds = [json.loads(p.read_text(encoding="utf-8")) for p in gold_files("vocabulary")]
    save(choose(golds), tmp_path / "made.npz")
    save(load(FILE), tmp_path / "again.npz")
    assert (tmp_path / "made.npz").read_bytes() == FILE.read_bytes() == (tmp_path / "again.npz").read_bytes()


@pytest.mark.parametrize("broken", [b"", b"not an archive", FILE.read_bytes()[:-200]], ids=["empty", "other", "cut"])
def test_a_broken_file_is_named(broken: bytes, tmp_path: Path) -> None:
    """No traceback of the archive reader reaches the user."""
    file = tmp_path / "vocabulary.npz"
    file.write_bytes(broken)
    with pytest.raises(ModelError, match=r"vocabulary\.npz"):
        load(file)


def test_a_model_of_another_layout_is_refused(cut: Path, tmp_path: Path) -> None:
    """Nothing is cut blindly."""
    shutil.copytree(BASE, tmp_path / "model")
    (tmp_path / "model/model.bin").write_bytes(b"\0" * 4096)
    with pytest.raises(ModelError, match="layout"):
        shipped().put_into(tmp_path / "model")
