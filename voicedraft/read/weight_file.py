"""Reading and writing the files of learned weights: equal weights give equal bytes, a broken file is named."""

from __future__ import annotations

import lzma
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from voicedraft.errors import ModelError

FOLDER = Path(__file__).resolve().parent / "weights"
"""The weights that come with the program."""
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
