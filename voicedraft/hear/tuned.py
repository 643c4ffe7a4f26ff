"""What the speech model has learned of the trade: small changes of its encoder and decoder, put into a copy of its own
file while it is loaded.

Each matrix gets the product of two thin ones added (low-rank adaptation, Hu et al. 2021, LoRA). The layers stay as
they are in shape, so that nothing is computed more slowly; the query and key of the decoder's attention to the sound,
which place words in time, are the published model's.
"""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

from voicedraft.errors import ModelError
from voicedraft.models import file_digest
from voicedraft.weight_file import arrays_of, fingerprint_of, named, put, put_array, put_thin, thin_of

Floats = npt.NDArray[np.float32]

FILE = Path(__file__).resolve().parent / "weights" / "hearing.npz"


@dataclass(frozen=True, eq=False)
class Change:
    """One matrix of model.bin, or rows of one: `at` is the byte offset of its first float16 number.

    `up`: (rows, rank), `down`: (rank, columns); their product is added.
    """

    at: int
    up: Floats
    down: Floats


@dataclass(frozen=True, eq=False)
class Tuned:
    """All changes, for the model.bin with that SHA-256."""

    made_for: str
    changes: tuple[Change, ...]

    def put_into(self, model: Path) -> None:
        """Add the changes to a copy of the model.bin they were made for. Raises ModelError where they do not fit."""
        held = np.memmap(model, np.uint8, "r+")
        with ThreadPoolExecutor(2) as threads:  # Most of the time goes into float16, which NumPy converts slowly.
            list(threads.map(lambda change: _add(held, change), self.changes))


def _add(model: npt.NDArray[np.uint8], change: Change) -> None:
    rows, columns = len(change.up), change.down.shape[1]
    numbers = model[change.at : change.at + 2 * rows * columns]
    if len(numbers) < 2 * rows * columns:
        raise ModelError("The hearing weights do not fit the speech model's model.bin. Run "
                         "`voicedraft models install`.")
    matrix = numbers.view("<f2").reshape(rows, columns)
    added = change.up @ change.down
    added += matrix
    matrix[:] = added


def save(tuned: Tuned, file: Path) -> None:
    """Write the changes, thin matrices as int8 steps by direction; equal changes give equal bytes."""
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        put(archive, "made_for", tuned.made_for.encode())
        put_array(archive, "places", np.array([c.at for c in tuned.changes], np.int64))
        for n, change in enumerate(tuned.changes):
            for name, thin, axis in (("up", change.up, 0), ("down", change.down, 1)):
                put_thin(archive, f"{name}{n}", thin, axis)


def load(file: Path) -> Tuned:
    """Read the changes. Raises ModelError naming the file where it is missing or broken."""
    with named("hearing", file), zipfile.ZipFile(file) as archive:
        arrays = arrays_of(archive)
        places: Sequence[int] = arrays["places"].tolist()
        return Tuned(archive.read("made_for").decode(), tuple(
            Change(at, thin_of(arrays, f"up{n}"), thin_of(arrays, f"down{n}")) for n, at in enumerate(places)
        ))


@lru_cache(maxsize=1)
def shipped() -> Tuned:
    """The shipped changes, read once."""
    return load(FILE)


def for_model(folder: Path) -> Tuned | None:
    """The shipped changes where the folder's model.bin is the one that they were made for, else None."""
    return shipped() if file_digest(folder / "model.bin") == shipped().made_for else None


def fingerprint(file: Path = FILE) -> str:
    """Eight hexadecimal digits that change when the changes do. Raises ModelError where the file is missing."""
    return fingerprint_of("hearing", file, 8)
