"""Reading and writing the files of learned weights: equal weights give equal bytes, a broken file is named."""

from __future__ import annotations

import hashlib
import io
import lzma
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import numpy.typing as npt

from voicedraft.errors import ModelError

FOLDER = Path(__file__).resolve().parent / "read" / "weights"
"""The weights of reading that come with the program."""
THIN_STEPS = 127
"""Steps of a thin matrix's int8 numbers to each side of zero."""
_BROKEN = (
    OSError, EOFError, ValueError, KeyError, IndexError, TypeError, zipfile.BadZipFile, zlib.error, lzma.LZMAError,
)


@contextmanager
def named(part: str, file: Path) -> Iterator[None]:
    """Whatever a missing or broken file raises while it is read becomes a ModelError that names it.

    part: what `python -m voicedraft.train` calls it, "sections" for instance.
    """
    try:
        yield
    except _BROKEN as error:
        raise ModelError(f"The {part.removesuffix('s')} weights {file.name} cannot be read ({error}). Install "
                         f"voicedraft again, or run `python -m voicedraft.train {part}` in a checkout.") from error


def fingerprint_of(part: str, file: Path, digits: int) -> str:
    """Hexadecimal digits that change when the file does. Raises ModelError, as `named`, where it is missing."""
    with named(part, file):
        return hashlib.sha256(file.read_bytes()).hexdigest()[:digits]


def put(archive: zipfile.ZipFile, name: str, data: bytes) -> None:
    """One member of an archive, packed as the archive is, with a fixed date."""
    entry = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
    entry.compress_type = archive.compression
    archive.writestr(entry, data, compresslevel=archive.compresslevel)


def put_array(archive: zipfile.ZipFile, name: str, array: np.ndarray) -> None:
    """One array as the member NAME.npy."""
    buffer = io.BytesIO()
    np.lib.format.write_array(buffer, array, allow_pickle=False)
    put(archive, name + ".npy", buffer.getvalue())


def put_thin(archive: zipfile.ZipFile, name: str, thin: np.ndarray, axis: int) -> None:
    """A thin matrix as the members NAME, int8 steps, and NAME_scale: the largest number along `axis` is THIN_STEPS."""
    top = np.maximum(np.abs(thin).max(axis=axis, keepdims=True), 1e-12) / THIN_STEPS
    put_array(archive, name, np.rint(thin / top).astype(np.int8))
    put_array(archive, name + "_scale", top.astype(np.float32))


def thin_of(arrays: dict[str, np.ndarray], name: str) -> npt.NDArray[np.float32]:
    """The float32 matrix that `put_thin` kept, from the arrays of the archive."""
    return arrays[name].astype(np.float32) * arrays[name + "_scale"].astype(np.float32)


def arrays_of(archive: zipfile.ZipFile) -> dict[str, np.ndarray]:
    """NAME → array of every member NAME.npy, in order."""
    return {
        name.removesuffix(".npy"): np.lib.format.read_array(io.BytesIO(archive.read(name)), allow_pickle=False)
        for name in archive.namelist() if name.endswith(".npy")
    }
