"""Chromium for the tests of the page: the app on a free port, a browser that talks to nobody else."""

from __future__ import annotations

import contextlib
import shutil
import threading
from collections.abc import Iterator
from pathlib import Path

import uvicorn

from voicedraft.correct.web import create_app
from voicedraft.correct.web.serve import bind

ENTRY = "a-word-for-the-tests-only"
ARGUMENTS = [
    "--no-sandbox", "--autoplay-policy=no-user-gesture-required", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]
"""Autoplay: a headless browser counts no gesture of a person. The rest keeps it from looking for other hosts."""


def chromium() -> str:
    """Path of the installed browser."""
    for name in ("chromium", "chromium-browser", "google-chrome"):
        found = shutil.which(name)
        if found:
            return found
    raise RuntimeError("Chromium is not installed: apt-get install chromium")


@contextlib.contextmanager
def served(folder: Path) -> Iterator[str]:
    """The first address of the page over a draft folder."""
    with bind(0) as listening:
        config = uvicorn.Config(create_app(folder, ENTRY), log_level="error", access_log=False,
                                timeout_graceful_shutdown=1)
        server = uvicorn.Server(config)
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        try:
            yield f"http://127.0.0.1:{listening.getsockname()[1]}/?token={ENTRY}"
        finally:
            server.should_exit = True
            thread.join()
