"""Memory kept between windows: nothing is taken anew from the system while hearing, all is given back afterwards."""

from __future__ import annotations

import subprocess
import sys

import pytest

from voicedraft.hear import memory

PROGRAM = """
import contextlib, resource, sys, threading
from voicedraft.hear.memory import kept_for_reuse, one_heap

def faults(): return resource.getrusage(resource.RUSAGE_SELF).ru_minflt
def held(): return int(open("/proc/self/statm").read().split()[1]) * resource.getpagesize() >> 20
def work():
    for _ in range(20):
        bytearray(b"x") * (72 << 20)

def in_a_thread():
    thread = threading.Thread(target=work)
    thread.start()
    thread.join()

if sys.argv[1] == "kept":
    one_heap()
living = threading.Event()
threading.Thread(target=lambda: (bytearray(9000), living.wait())).start()
before = held()
with kept_for_reuse() if sys.argv[1] == "kept" else contextlib.nullcontext():
    in_a_thread()
    begun = faults()
    in_a_thread()
    taken = faults() - begun
living.set()
print(taken, held() - before)
"""


def _measured(how: str) -> tuple[int, int]:
    """Page faults of twenty blocks of 72 MB in a thread of their own, and megabytes held at the end."""
    run = subprocess.run([sys.executable, "-c", PROGRAM, how], capture_output=True, text=True, check=True)
    taken, held = map(int, run.stdout.split())
    return taken, held


def test_blocks_are_not_taken_from_the_system_again() -> None:
    """The kernel's own count of pages that it had to supply, with and without, beside a thread that was there before,
    as the one that shows the progress is; and what is held when all is over."""
    plain, _ = _measured("plain")
    kept, held = _measured("kept")
    assert plain > 20 * (72 << 20) // (2 << 20)
    assert kept < plain / 10
    assert held < 20


def test_another_c_library_is_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """No call of glibc where it is not there."""
    monkeypatch.setattr(memory.platform, "libc_ver", lambda: ("", ""))
    monkeypatch.setattr(memory.ctypes, "CDLL", lambda _: pytest.fail("there is no glibc"))
    with memory.kept_for_reuse():
        pass


def test_the_last_that_leaves_gives_the_memory_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two hearings at once: the first to end does not take from the other what it counts on."""
    calls: list[tuple[int, int]] = []

    class Library:
        def mallopt(self, name: int, value: int) -> None:
            calls.append((name, value))

        def malloc_trim(self, pad: int) -> None:
            calls.append((0, pad))

    monkeypatch.setattr(memory, "_glibc", Library)
    with memory.kept_for_reuse():
        with pytest.raises(ValueError, match="within"), memory.kept_for_reuse():
            raise ValueError("within")
        assert (0, 0) not in calls
    assert calls[-1] == (0, 0)
