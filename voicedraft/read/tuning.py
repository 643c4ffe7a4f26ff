"""What was learned of the sentence encoder: small changes of its weight matrices, put into the model's own file.

Each matrix gets the product of two thin ones added (low-rank adaptation, Hu et al. 2021, LoRA) and is brought back to
int8 steps by column, as the model file keeps it. The graph stays as it is, so that nothing is computed more slowly.
"""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from voicedraft.errors import ModelError
from voicedraft.weight_file import FOLDER, arrays_of, named, put_array, put_thin, thin_of

Floats = npt.NDArray[np.float32]

FILE = FOLDER / "encoder.npz"
STEPS = 127
"""Steps of an int8 column to each side of zero, as the model file has them."""


@dataclass(frozen=True, eq=False)
class Change:
    """One matrix of the model file, and what is added to it.

    `at`, `scale_at`: byte offsets of its int8 steps (rows, columns) and of its float32 column scales.
    `down`: (rows, rank), `up`: (rank, columns); their product is added.
    """

    at: int
    scale_at: int
    down: Floats
    up: Floats


@dataclass(frozen=True, eq=False)
class Tuning:
    """All changes, for a model file of `size` bytes."""

    size: int
    changes: tuple[Change, ...]

    def applied(self, model: bytes) -> bytes:
        """The model file with the changes put in. Raises ModelError where it has another size."""
        if len(model) != self.size:
            raise ModelError(f"The sentence encoder's model.onnx has {len(model):,} bytes, not the {self.size:,} that "
                             "the encoder weights were made for. Run `voicedraft models install`.")
        copy = bytearray(model)
        data = np.frombuffer(copy, np.uint8)
        most = max((len(c.down) * c.up.shape[1] for c in self.changes), default=0)
        room = np.empty((2, most), np.float32)
        for change in self.changes:
            _put_in(data, change, room)
        return bytes(copy)


def _put_in(data: npt.NDArray[np.uint8], change: Change, room: Floats) -> None:
    """room: (2, at least as many numbers as the matrix has), used over and over, since fresh memory costs time."""
    rows, columns = len(change.down), change.up.shape[1]
    steps = data[change.at : change.at + rows * columns].view(np.int8).reshape(rows, columns)
    scale = data[change.scale_at : change.scale_at + 4 * columns]
    matrix, added = (part[: rows * columns].reshape(rows, columns) for part in room)
    np.multiply(steps, scale.view("<f4"), out=matrix)
    np.matmul(change.down, change.up, out=added)
    matrix += added
    top = np.maximum(np.maximum(matrix.max(axis=0), -matrix.min(axis=0)), 1e-12) / STEPS
    matrix /= top
    np.rint(matrix, out=steps, casting="unsafe")
    scale[:] = top.astype("<f4").view(np.uint8)


def save(tuning: Tuning, file: Path) -> None:
    """Write the changes, thin matrices as int8 steps by direction; equal changes give equal bytes."""
    places = np.array([[tuning.size, 0], *((c.at, c.scale_at) for c in tuning.changes)], np.int64)
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        put_array(archive, "places", places)
        for n, change in enumerate(tuning.changes):
            for name, thin, axis in (("down", change.down, 0), ("up", change.up, 1)):
                put_thin(archive, f"{name}{n}", thin, axis)


def load(file: Path) -> Tuning:
    """Read the changes. Raises ModelError naming the file where it is missing or broken."""
    with named("encoder", file), zipfile.ZipFile(file) as archive:
        arrays = arrays_of(archive)
        places: Sequence[Sequence[int]] = arrays["places"].tolist()
        return Tuning(places[0][0], tuple(
            Change(at, scale_at, thin_of(arrays, f"down{n}"), thin_of(arrays, f"up{n}"))
            for n, (at, scale_at) in enumerate(places[1:])
        ))


@lru_cache(maxsize=1)
def shipped() -> Tuning:
    """The shipped changes, read once."""
    return load(FILE)
