"""Memory kept between windows: nothing is taken anew from the system while hearing, all is given back afterwards."""

from __future__ import annotations

import subprocess
import sys

import pytest

from voicedraft.hear import memory

PROGRAM = """
import contextlib, resource, sys, threading
from voicedraft.hear.memory import kept_for_reuse

def faults(): return resource.getrusage(resource.RUSAGE_SELF).ru_minflt
def held(): return int(open("/proc/self/statm").read().split()[1]) * resource.getpagesize() >> 20
def work():
    for _ in range(20):
        bytearray(b"x") * (72 << 20)

def in_a_thread():
    thread = threading.Thread(target=work)
    thread.start()
    thread.join()

before = held()
with kept_for_reuse() if sys.argv[1] == "kept" else contextlib.nullcontext():
    in_a_thread()
    begun = faults()
    in_a_thread()
    taken = faults() - begun
print(taken, held() - before)
"""


def _measured(how: str) -> tuple[int, int]:
    """Page faults of twenty blocks of 72 MB in a thread of their own, and megabytes held at the end."""
    run = subprocess.run([sys.executable, "-c", PROGRAM, how], capture_output=True, text=True, check=True)
    taken, held = map(int, run.stdout.split())
    return taken, held


def test_blocks_are_not_taken_from_the_system_again() -> None:
    """The kernel's own count of pages that it had to supply, with and without; and what is held when all is over."""
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
