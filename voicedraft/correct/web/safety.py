"""What stands between the page and everybody else: one ASGI layer around the whole app.

- Only requests to this computer by its own name are answered, so that no foreign name can be pointed here.
- The first address carries a random token; it becomes a cookie that scripts cannot read and other sites cannot send.
- A request that changes anything must come from the page itself.
- The browser is told to run and load nothing but the page's own files.
"""

from __future__ import annotations

import hashlib
import secrets
from urllib.parse import parse_qs, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOCAL = frozenset({"127.0.0.1", "localhost", "::1"})
SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})
CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY, "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin", "Cross-Origin-Opener-Policy": "same-origin",
    "X-Frame-Options": "DENY", "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
LARGEST_BODY = 64 * 1024
"""Bytes; the largest correction is a passage of text."""


def cookie_name(token: str) -> str:
    """Cookies are shared between the ports of a computer, so each token has a name of its own."""
    return "voicedraft-" + hashlib.sha256(token.encode()).hexdigest()[:12]


class Guard:
    """Wraps an ASGI app; refuses what the module's heading says, with one plain sentence."""

    def __init__(self, app: ASGIApp, token: str) -> None:
        if len(token) < 16:
            raise ValueError("The page's token must have at least 16 characters.")
        self.app = app
        self.token = token
        self.cookie = cookie_name(token)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "websocket":
            await send({"type": "websocket.close", "code": 1008})
            return
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        answer = self._refusal(scope)
        await (answer or self.app)(scope, receive, _with_headers(send))

    def _refusal(self, scope: Scope) -> Response | None:
        headers = Headers(scope=scope)
        if not _is_local(headers.getlist("host")):
            return PlainTextResponse("This page answers only to this computer's own name, 127.0.0.1.", 400)
        given = parse_qs(scope["query_string"].decode("latin-1")).get("token")
        if given and scope["path"] == "/" and scope["method"] in ("GET", "HEAD"):
            return self._enter(given[-1])
        if not self._knows(headers):
            return PlainTextResponse("Open the page by the address that `voicedraft correct` printed.", 403)
        if scope["method"] not in SAFE_METHODS and not _from_here(headers):
            return PlainTextResponse("This request came from another page and is refused.", 403)
        return self._too_long(scope, headers)

    @staticmethod
    def _too_long(scope: Scope, headers: Headers) -> Response | None:
        if scope["method"] in SAFE_METHODS:
            return None
        length = headers.get("content-length", "")
        if not length.isascii() or not length.isdigit():
            return PlainTextResponse("Say how long the request is (Content-Length).", 411)
        if int(length[:9]) > LARGEST_BODY or len(length) > 9:
            return PlainTextResponse("The request is too long for a correction.", 413)
        return None

    def _enter(self, given: str) -> Response:
        if not secrets.compare_digest(given.encode(), self.token.encode()):
            return PlainTextResponse("This address is no longer valid. Use the one that the program printed last.", 403)
        answer = RedirectResponse("/", 303)
        answer.set_cookie(self.cookie, self.token, httponly=True, samesite="strict", path="/")
        return answer

    def _knows(self, headers: Headers) -> bool:
        for raw in headers.getlist("cookie"):
            for pair in raw.split(";"):
                name, _, value = pair.strip().partition("=")
                if name == self.cookie and secrets.compare_digest(value.encode(), self.token.encode()):
                    return True
        return False


def _is_local(hosts: list[str]) -> bool:
    if len(hosts) != 1:
        return False
    try:
        parts = urlsplit("//" + hosts[0])
        return parts.hostname in LOCAL and parts.netloc == hosts[0] and (parts.port is None or parts.port > 0)
    except ValueError:
        return False


def _from_here(headers: Headers) -> bool:
    """The browser's own word on where a request came from; a caller without a browser sends neither."""
    site = headers.get("sec-fetch-site")
    if site is not None and site != "same-origin":
        return False
    origin = headers.get("origin")
    return origin is None or origin == f"http://{headers['host']}"


def _with_headers(send: Send) -> Send:
    async def sender(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
            headers.setdefault("Cache-Control", "no-store")
        await send(message)

    return sender
