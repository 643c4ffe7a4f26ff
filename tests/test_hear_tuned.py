"""What the speech model has learned of the trade: put into a copy of its own file, and nothing else of it changed."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tokenizers import Tokenizer

from tests.hear_sounds import human_sentences
from voicedraft.errors import ModelError
from voicedraft.hear import HearOptions, hear
from voicedraft.hear.key import hearing_key
from voicedraft.hear.model_file import variables
from voicedraft.hear.speech_model import mended_tokenizer
from voicedraft.hear.tuned import FILE, Change, Tuned, fingerprint, for_model, load, save, shipped
from voicedraft.lexicon import load_lexicon
from voicedraft.models import model_path
from voicedraft.progress import SilentProgress

BASE = model_path("base")


def _matrix(model: bytes, change: Change) -> np.ndarray:
    rows, columns = len(change.up), change.down.shape[1]
    return np.frombuffer(model, "<f2", rows * columns, change.at).reshape(rows, columns)


@pytest.fixture(scope="module")
def plain() -> bytes:
    return (BASE / "model.bin").read_bytes()


@pytest.fixture(scope="module")
def tuned(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    copy = tmp_path_factory.mktemp("tuned") / "model.bin"
    shutil.copyfile(BASE / "model.bin", copy)
    shipped().put_into(copy)
    return copy.read_bytes()


def test_each_matrix_becomes_itself_and_the_product(plain: bytes, tuned: bytes) -> None:
    """The definition of low-rank adaptation (Hu et al. 2021), computed here apart in double precision; float16 keeps
    eleven bits."""
    for change in shipped().changes:
        wanted = _matrix(plain, change).astype(np.float64) + change.up.astype(np.float64) @ change.down
        assert np.allclose(_matrix(tuned, change), wanted, rtol=2**-10, atol=2e-5)
        assert not np.array_equal(_matrix(tuned, change), _matrix(plain, change))


def test_every_byte_outside_the_named_matrices_stays(plain: bytes, tuned: bytes) -> None:
    """Embeddings, filters, biases and the size of the file are those of the file as it came."""
    outside = np.ones(len(plain), bool)
    for c in shipped().changes:
        outside[c.at : c.at + 2 * len(c.up) * c.down.shape[1]] = False
    assert len(tuned) == len(plain)
    assert np.array_equal(*(np.frombuffer(x, np.uint8)[outside] for x in (plain, tuned)))


def test_only_matrices_of_layers_change_and_none_that_places_words_in_time(plain: bytes) -> None:
    """Word times are read off the attention to the sound: its query and its key are the published ones."""
    held = {name: place for name, place in variables(plain).items() if len(place.shape) == 2}
    for change in shipped().changes:
        end = change.at + 2 * change.up.shape[0] * change.down.shape[1]
        name, place = next((n, p) for n, p in held.items() if p.at <= change.at < p.at + 2 * np.prod(p.shape))
        assert name.startswith(("encoder/layer_", "decoder/layer_"))
        assert end == place.at + 2 * np.prod(place.shape)
        assert place.kind == "<f2"
        assert change.down.shape[1] == place.shape[1]
        assert not name.endswith("/attention/linear_0/weight")
        if name.endswith("/attention/linear_1/weight") and "self_attention" not in name:
            assert len(change.up) == place.shape[0] // 2


def test_the_changes_are_for_base_alone() -> None:
    """Another model, even one in the same folder shape, is left as it came."""
    assert for_model(BASE) is shipped()
    assert for_model(model_path("tiny.en")) is None


def test_changes_that_do_not_fit_are_refused(tmp_path: Path) -> None:
    """The byte offsets belong to one file."""
    (tmp_path / "model.bin").write_bytes(b"\0" * 64)
    with pytest.raises(ModelError, match=r"voicedraft models install"):
        shipped().put_into(tmp_path / "model.bin")


def test_the_shipped_file_is_small_and_written_again_byte_for_byte(tmp_path: Path) -> None:
    """Equal changes give equal bytes, and other changes another fingerprint."""
    save(load(FILE), tmp_path / "again.npz")
    assert (tmp_path / "again.npz").read_bytes() == FILE.read_bytes()
    assert FILE.stat().st_size < 2_500_000
    first = shipped().changes[0]
    save(Tuned(shipped().made_for, (replace(first, up=first.up * 2),)), tmp_path / "other.npz")
    assert fingerprint(tmp_path / "other.npz") != fingerprint()


@pytest.mark.parametrize("broken", [b"", b"not an archive", FILE.read_bytes()[:-200]], ids=["empty", "other", "cut"])
def test_a_broken_file_is_named(broken: bytes, tmp_path: Path) -> None:
    """No traceback of the archive reader reaches the user."""
    file = tmp_path / "hearing.npz"
    file.write_bytes(broken)
    with pytest.raises(ModelError, match=r"hearing\.npz"):
        load(file)


def test_a_hearing_with_and_one_without_what_was_learned_are_kept_apart(tmp_path: Path) -> None:
    """The draft names what heard it, so that nobody takes one for the other."""
    lexicon, sound = load_lexicon(), human_sentences()[0][0]
    told = [hear([sound], HearOptions(device="cpu", cache=tmp_path, taught=taught), lexicon, SilentProgress()).model
            for taught in (True, False)]
    assert told == [f"base, taught the trade ({fingerprint()})", "base"]
    assert len(list(tmp_path.rglob("*.json*"))) >= 2
    keys = {hearing_key(HearOptions(), lexicon, "m", "int8", taught) for taught in ("", "one", "two")}
    assert len(keys) == 3


def test_a_tokenizer_that_lost_its_first_merge_is_mended() -> None:
    """264 and 2636 are " the" and " third" in the vocabulary of the multilingual Whisper models; the file as it came
    makes a blank and "the" of the first. A tokenizer that has the merge is left alone."""
    mended = mended_tokenizer(BASE)
    assert mended is not None
    assert Tokenizer.from_str(mended.decode()).encode(" the third", add_special_tokens=False).ids == [264, 2636]
    as_it_came = Tokenizer.from_file(str(BASE / "tokenizer.json"))
    assert as_it_came.encode(" the third", add_special_tokens=False).ids != [264, 2636]
    held = json.loads(mended)["model"]
    assert len(held["merges"]) == len(json.loads((BASE / "tokenizer.json").read_text())["model"]["merges"]) + 1
    assert mended_tokenizer(model_path("tiny.en")) is None
