"""Memory that the speech model gives back is kept for its next window while it hears.

The encoder takes and gives back blocks of up to 72 MB many times a window. The C library hands blocks of that size back
to the system each time, and the system clears every page anew: a third of the encoder's time (benchmarks/NOTES.md).
"""

from __future__ import annotations

import contextlib
import ctypes
import platform
from collections.abc import Iterator

_TRIM_THRESHOLD, _MMAP_THRESHOLD, _MMAP_MAX, _ARENA_MAX = -1, -3, -4, -8
"""Names of glibc's malloc.h for `mallopt` (mallopt(3))."""
_KEEP = ((_ARENA_MAX, 1), (_MMAP_MAX, 0), (_TRIM_THRESHOLD, 2**31 - 1))
"""One heap that only grows, and no block outside it. Other heaps hold no block of over 64 MB."""
_GIVE_BACK = ((_ARENA_MAX, 0), (_MMAP_MAX, 65_536), (_MMAP_THRESHOLD, 32 << 20), (_TRIM_THRESHOLD, 64 << 20))
"""glibc's defaults (mallopt(3)), with the thresholds at the most that it moves them to by itself."""


@contextlib.contextmanager
def kept_for_reuse() -> Iterator[None]:
    """While this is entered memory stays with the process, in which no other thread should be at large work; afterwards
    what is free is given back. Does nothing without glibc."""
    library = ctypes.CDLL(None) if platform.libc_ver()[0] == "glibc" else None
    if library is None:
        yield
        return
    for name, value in _KEEP:
        library.mallopt(name, value)
    try:
        yield
    finally:
        for name, value in _GIVE_BACK:
            library.mallopt(name, value)
        library.malloc_trim(0)
