"""Reading and writing the files of learned weights: equal weights give equal bytes, a broken file is named."""

from __future__ import annotations

import io
import lzma
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from voicedraft.errors import ModelError

FOLDER = Path(__file__).resolve().parent / "read" / "weights"
"""The weights of reading that come with the program."""
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


def arrays_of(archive: zipfile.ZipFile) -> dict[str, np.ndarray]:
    """NAME → array of every member NAME.npy, in order."""
    return {
        name.removesuffix(".npy"): np.lib.format.read_array(io.BytesIO(archive.read(name)), allow_pickle=False)
        for name in archive.namelist() if name.endswith(".npy")
    }
