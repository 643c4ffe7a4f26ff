"""Serves the page on this computer only, at an address with a fresh token, until the person stops it."""

from __future__ import annotations

import contextlib
import secrets
import socket
import webbrowser
from collections.abc import Callable
from pathlib import Path

import uvicorn

from voicedraft.correct.web.app import create_app
from voicedraft.errors import OutputError

HOST = "127.0.0.1"


def bind(port: int) -> socket.socket:
    """A listening socket on the loopback address; port 0 takes a free one. Raises OutputError where it is taken."""
    listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((HOST, port))
        listening.listen()
    except (OSError, OverflowError) as error:
        listening.close()
        raise OutputError(f"Port {port} cannot be used ({error}). Leave --port out to take a free one.") from error
    return listening


def serve(directory: Path, who: str, port: int, open_browser: bool, say: Callable[[str], None]) -> None:
    """Serves the page of a draft folder until interrupted. `say` is given the address. Raises OutputError."""
    token = secrets.token_urlsafe(24)
    app = create_app(directory, token, who)
    with bind(port) as listening:
        address = f"http://{HOST}:{listening.getsockname()[1]}/?token={token}"
        say(address)
        if open_browser:
            webbrowser.open(address)
        config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, lifespan="on",
                                timeout_graceful_shutdown=2)
        with contextlib.suppress(KeyboardInterrupt):  # the way to end it
            uvicorn.Server(config).run(sockets=[listening])
