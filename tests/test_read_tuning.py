"""What was learned of the sentence encoder: put into the model's own file, and nothing else of it changed."""

from __future__ import annotations

import threading
import time
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest

from voicedraft.errors import ModelError
from voicedraft.models import model_path
from voicedraft.read import analysis
from voicedraft.read.tuning import FILE, Change, Tuning, load, save, shipped
from voicedraft.read.vectors import DIMENSIONS, Encoder


def _model() -> bytes:
    return (model_path("all-MiniLM-L6-v2-int8") / "model.onnx").read_bytes()


def _matrix(model: bytes, change: Change) -> np.ndarray:
    rows, columns = len(change.down), change.up.shape[1]
    steps = np.frombuffer(model, np.int8, rows * columns, change.at).reshape(rows, columns)
    return steps * np.frombuffer(model, "<f4", columns, change.scale_at)


def test_each_matrix_becomes_itself_and_the_product_to_half_a_step() -> None:
    """The definition of low-rank adaptation (Hu et al. 2021), computed here apart in double precision."""
    plain, tuning = _model(), shipped()
    tuned = tuning.applied(plain)
    for change in tuning.changes:
        wanted = _matrix(plain, change).astype(np.float64) + change.down.astype(np.float64) @ change.up
        step = np.abs(wanted).max(axis=0) / 127
        assert (np.abs(_matrix(tuned, change) - wanted) <= 0.51 * step).all()


def test_every_byte_outside_the_named_matrices_stays() -> None:
    """Graph, biases and embeddings are those of the file as it came."""
    plain, tuning = _model(), shipped()
    tuned = tuning.applied(plain)
    outside = np.ones(len(plain), bool)
    for c in tuning.changes:
        outside[c.at : c.at + len(c.down) * c.up.shape[1]] = False
        outside[c.scale_at : c.scale_at + 4 * c.up.shape[1]] = False
    assert len(tuned) == len(plain)
    a, b = (np.frombuffer(x, np.uint8)[outside] for x in (plain, tuned))
    assert (a == b).all()
    assert not (np.frombuffer(plain, np.uint8) == np.frombuffer(tuned, np.uint8)).all()


def test_a_change_of_nothing_leaves_the_vectors_where_they_were() -> None:
    """Bringing a matrix back to its own steps must not move what it computes."""
    folder, text = model_path("all-MiniLM-L6-v2-int8"), "A little charred oak on the cold draw, and some hay."
    nothing = Tuning(shipped().size, tuple(replace(c, up=np.zeros_like(c.up)) for c in shipped().changes))
    plain, same, tuned = (Encoder(folder, t).encode([text])[0].sentence for t in (None, nothing, shipped()))
    assert plain.shape == (DIMENSIONS,)
    assert float(plain @ same) > 0.9999
    assert float(plain @ tuned) < 0.99


def test_another_model_file_is_refused_by_its_size() -> None:
    """The byte offsets belong to one file."""
    with pytest.raises(ModelError, match=r"voicedraft models install"):
        shipped().applied(b"another model")


def test_the_shipped_file_is_written_again_byte_for_byte(tmp_path: Path) -> None:
    """Equal changes give equal bytes."""
    save(load(FILE), tmp_path / "again.npz")
    assert (tmp_path / "again.npz").read_bytes() == FILE.read_bytes()


@pytest.mark.parametrize("broken", [b"", b"not an archive", FILE.read_bytes()[:-200]], ids=["empty", "other", "cut"])
def test_a_broken_file_is_named(broken: bytes, tmp_path: Path) -> None:
    """No traceback of the archive reader reaches the user."""
    file = tmp_path / "encoder.npz"
    file.write_bytes(broken)
    with pytest.raises(ModelError, match=r"encoder\.npz"):
        load(file)


def test_another_encoder_is_used_only_within_its_block() -> None:
    """Training and figures look through other encoders; reading goes on with the shipped one."""
    before = analysis.encoder()
    with analysis.tuning.instead(None):
        assert analysis.tuning() is None
        assert analysis.encoder() is not before
    assert analysis.tuning() is shipped()
    assert analysis.encoder().encode(["cedar"])[0].sentence.shape == (DIMENSIONS,)


def test_vectors_still_in_the_making_are_those_of_the_encoder() -> None:
    """Whoever asks waits for them; they come in the order of the texts."""
    texts = ["Cedar.", "The burn is even all the way round, and the ash is light grey.", "Leather now."]
    docs, coming = analysis.looked_at(texts)
    wanted = analysis.encoder().encode(texts)
    assert [d.text for d in docs] == texts
    assert len(coming) == len(texts)
    for a, b in zip(coming, wanted, strict=True):
        np.testing.assert_array_equal(a.sentence, b.sentence)
    assert [e.offsets for e in coming[1:]] == [e.offsets for e in wanted[1:]]


def test_the_encoder_that_is_loaded_ahead_is_loaded_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who asks while it is being loaded gets that one."""
    made: list[object] = []
    begun = threading.Event()

    def slowly(folder: Path, changes: object) -> object:
        begun.set()
        time.sleep(0.05)
        made.append(folder)
        return made

    monkeypatch.setattr(analysis, "Encoder", slowly)
    monkeypatch.setattr(analysis, "_loaded", lru_cache(maxsize=2)(analysis._loaded.__wrapped__))
    analysis.load_ahead()
    assert begun.wait(10)
    assert analysis.encoder() is made
    assert len(made) == 1


def test_a_missing_encoder_loaded_ahead_says_nothing_yet(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its thread ends quietly; whoever asks for the encoder is told."""
    def missing(folder: Path, changes: object) -> object:
        raise ModelError("The model is not installed.")

    told: list[object] = []
    monkeypatch.setattr(threading, "excepthook", told.append)
    monkeypatch.setattr(analysis, "Encoder", missing)
    monkeypatch.setattr(analysis, "_loaded", lru_cache(maxsize=2)(analysis._loaded.__wrapped__))
    analysis.load_ahead()
    for thread in [t for t in threading.enumerate() if t.name == "encoder"]:
        thread.join()
    assert not told
    with pytest.raises(ModelError, match="not installed"):
        analysis.encoder()


def test_a_missing_encoder_is_told_when_its_vectors_are_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """The error of the thread beside reaches the reader as it is."""
    def missing(_: object) -> Encoder:
        raise ModelError("The model is not installed.")

    monkeypatch.setattr(analysis, "_encoder", missing)
    _, coming = analysis.looked_at(["Cedar."])
    with pytest.raises(ModelError, match="not installed"):
        len(coming)
