"""Memory that the speech model gives back is kept for its next window while it hears.

The encoder takes and gives back blocks of up to 72 MB many times a window. The C library hands blocks of that size back
to the system each time, and the system clears every page anew: a third of the encoder's time (benchmarks/NOTES.md).
"""

from __future__ import annotations

import contextlib
import ctypes
import platform
import threading
from collections.abc import Iterator

_TRIM_THRESHOLD, _MMAP_THRESHOLD, _MMAP_MAX, _ARENA_MAX = -1, -3, -4, -8
"""Names of glibc's malloc.h for `mallopt` (mallopt(3))."""
_KEEP = ((_MMAP_MAX, 0), (_TRIM_THRESHOLD, 2**31 - 1))
"""No block outside the heap, and a heap that only grows."""
_GIVE_BACK = ((_MMAP_MAX, 65_536), (_MMAP_THRESHOLD, 32 << 20), (_TRIM_THRESHOLD, 64 << 20))
"""glibc's defaults (mallopt(3)), with the thresholds at the most that it moves them to by itself."""

_counting = threading.Lock()
_entered = 0


def one_heap() -> None:
    """From here on new threads share the one heap of the process, for good; without glibc nothing is done.

    A heap of a thread's own holds no block of over 64 MB, which would be taken from the system each time. To be called
    before other threads are started: a thread that has a heap of its own keeps it, and lends it to later ones.
    """
    if (library := _glibc()) is not None:
        library.mallopt(_ARENA_MAX, 1)


@contextlib.contextmanager
def kept_for_reuse() -> Iterator[None]:
    """While this is entered memory stays with the process; when the last that entered it leaves, what is free is given
    back. Without glibc nothing is done."""
    global _entered
    library = _glibc()
    if library is None:
        yield
        return
    one_heap()
    with _counting:
        _entered += 1
        _set(library, _KEEP)
    try:
        yield
    finally:
        with _counting:
            _entered -= 1
            if not _entered:
                _set(library, _GIVE_BACK)
                library.malloc_trim(0)


def _set(library: ctypes.CDLL, settings: tuple[tuple[int, int], ...]) -> None:
    for name, value in settings:
        library.mallopt(name, value)


def _glibc() -> ctypes.CDLL | None:
    return ctypes.CDLL(None) if platform.libc_ver()[0] == "glibc" else None
