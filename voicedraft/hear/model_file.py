"""Where the matrices of a CTranslate2 model lie in its model.bin.

The layout is CTranslate2's own, version 6 (`ModelSpec.save` of its Python package): little-endian; version, name and
revision of the specification, then each variable's name, shape, type, size in bytes and numbers, then aliases.
"""

from __future__ import annotations

import mmap
import struct
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from voicedraft.errors import ModelError

Buffer = bytes | mmap.mmap
TYPES = {0: "<f4", 1: "<i1", 2: "<i2", 3: "<i4", 4: "<f2", 5: "<u2"}
"""CTranslate2's numbers for float32, int8, int16, int32, float16 and bfloat16, which NumPy has no type for."""


@dataclass(frozen=True, slots=True)
class Held:
    """One variable: byte offset of its numbers, shape, and NumPy's name of their type."""

    at: int
    shape: tuple[int, ...]
    kind: str

    @property
    def size(self) -> int:
        """Bytes of its numbers."""
        return int(np.prod(self.shape, dtype=np.int64)) * np.dtype(self.kind).itemsize

    def read(self, data: bytes) -> npt.NDArray[np.float32]:
        """Its numbers as float32."""
        count = int(np.prod(self.shape, dtype=np.int64))
        return np.frombuffer(data, self.kind, count, self.at).reshape(self.shape).astype(np.float32)


class _Reader:
    def __init__(self, data: Buffer) -> None:
        self.data, self.at = data, 0

    def number(self, kind: str) -> int:
        (value,) = struct.unpack_from("<" + kind, self.data, self.at)
        self.at += struct.calcsize("<" + kind)
        return int(value)

    def name(self) -> str:
        size = self.number("H")
        self.at += size
        return bytes(self.data[self.at - size : self.at - 1]).decode()


def variables(data: Buffer) -> dict[str, Held]:
    """Name → place of every variable. Raises ModelError where the file has another layout."""
    reader = _Reader(data)
    try:
        version = reader.number("I")
        reader.name()
        reader.number("I")
        if version != 6:
            raise ModelError(f"The speech model has layout {version}, not 6. Use the model that voicedraft installs.")
        out = {}
        for _ in range(reader.number("I")):
            name = reader.name()
            shape = tuple(reader.number("I") for _ in range(reader.number("B")))
            kind, size = TYPES[reader.number("B")], reader.number("I")
            out[name] = Held(reader.at, shape, kind)
            reader.at += size
    except (struct.error, KeyError, UnicodeDecodeError) as error:
        raise ModelError(f"The speech model's model.bin cannot be read ({error}). Install it again.") from error
    return out
