"""The page's edge: who is let in, what is refused, and what the browser is told. One test an attack."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from tests import correcting, sounding
from voicedraft.correct.web import create_app
from voicedraft.correct.web.safety import cookie_name
from voicedraft.draft.write import SOURCES, write_text

ENTRY = "a-word-for-the-tests-only"
BASE = "http://127.0.0.1:8321"
ACCEPT = {"base": 0, "change": {"what": "passage.accept", "passage": "p1"}}
HIDDEN = "nobody may read this"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "secret.txt").write_text(HIDDEN, encoding="utf-8")
    folder = correcting.draft(tmp_path / "draft")
    sounding.record(folder, (".wav",))
    return folder


@pytest.fixture
def stranger(folder: Path) -> Iterator[TestClient]:
    """A caller without the cookie."""
    with TestClient(create_app(folder, ENTRY), base_url=BASE, follow_redirects=False) as client:
        yield client


@pytest.fixture
def page(stranger: TestClient) -> TestClient:
    """A caller who came by the right address."""
    assert stranger.get("/", params={"token": ENTRY}).status_code == 303
    return stranger


ADDRESSES = ["/", "/api/session", "/api/revision", "/api/corrections", "/api/peaks/1", "/sound/1", "/static/main.js",
             "/openapi.json", "/nothing"]


@pytest.mark.parametrize("address", ADDRESSES)
def test_without_the_cookie_nothing_is_shown(stranger: TestClient, address: str) -> None:
    """Every address answers 403 and nothing of the draft."""
    answer = stranger.get(address)
    assert answer.status_code == 403
    assert "cedar" not in answer.text


@pytest.mark.parametrize("token", ["", "wrong", ENTRY[:-1], ENTRY + "x", ENTRY.upper(), "ä" * 26])
def test_a_wrong_token_opens_nothing(stranger: TestClient, token: str) -> None:
    """Neither in the address nor as a cookie."""
    assert stranger.get("/", params={"token": token}).status_code == 403
    if token.isascii():
        stranger.cookies.set(cookie_name(ENTRY), token)
        assert stranger.get("/api/session").status_code == 403


def test_the_token_becomes_a_cookie_that_scripts_and_other_sites_cannot_use(stranger: TestClient) -> None:
    """HttpOnly, SameSite=Strict, and the token leaves the address."""
    answer = stranger.get("/", params={"token": ENTRY})
    flags = {part.strip().lower() for part in answer.headers["set-cookie"].split(";")[1:]}
    assert {"httponly", "samesite=strict", "path=/"} <= flags
    assert answer.headers["location"] == "/"
    assert stranger.get("/").status_code == 200


def test_two_pages_on_one_computer_do_not_share_a_cookie() -> None:
    """Cookies know no ports, so the name follows the token."""
    assert cookie_name(ENTRY) != cookie_name(ENTRY + "2")
    assert ENTRY not in cookie_name(ENTRY)


def test_a_short_token_is_not_accepted(folder: Path) -> None:
    """The app refuses to start with a secret that could be guessed."""
    with pytest.raises(ValueError, match="at least 16"), TestClient(create_app(folder, "short")) as client:
        client.get("/")


@pytest.mark.parametrize("host", [
    "evil.example", "evil.example:8321", "127.0.0.1.evil.example", "localhost.evil.example", "127.0.0.1@evil.example",
    "0.0.0.0",
    "192.168.1.5:8321", "", "[", "127.0.0.1:99999999", "127.0.0.1 evil.example",
])
def test_a_foreign_host_is_refused(page: TestClient, host: str) -> None:
    """A name that somebody pointed at this computer is not answered, cookie or not."""
    assert page.get("/api/session", headers={"Host": host}).status_code == 400


@pytest.mark.parametrize("host", ["127.0.0.1:8321", "localhost:8321", "[::1]:8321", "LOCALHOST"])
def test_this_computers_own_names_are_answered(page: TestClient, host: str) -> None:
    """The loopback names, with any port."""
    assert page.get("/api/revision", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize("headers", [
    {"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"}, {"Sec-Fetch-Site": "none"},
    {"Origin": "http://evil.example"}, {"Origin": "null"}, {"Origin": "http://127.0.0.1:9999"},
    {"Origin": "https://127.0.0.1:8321"}, {"Origin": BASE, "Sec-Fetch-Site": "cross-site"},
])
@pytest.mark.parametrize("address", ["/api/corrections", "/api/undo", "/api/redo"])
def test_a_post_from_another_page_is_refused(page: TestClient, address: str, headers: dict[str, str]) -> None:
    """Even with the cookie, nothing is written."""
    assert page.post(address, json=ACCEPT, headers=headers).status_code == 403
    assert page.get("/api/revision").json() == {"revision": 0}


def test_a_post_from_the_page_itself_is_taken(page: TestClient) -> None:
    """The same request with the page's own origin is made."""
    answer = page.post("/api/corrections", json=ACCEPT, headers={"Origin": BASE, "Sec-Fetch-Site": "same-origin"})
    assert answer.status_code == 200
    assert answer.json()["revision"] == 1


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE"])
def test_other_methods_change_nothing(page: TestClient, method: str) -> None:
    """They are refused with a 4xx."""
    assert 400 <= page.request(method, "/api/corrections", json=ACCEPT).status_code < 500


@pytest.mark.parametrize("address", [*ADDRESSES, "/?token=wrong"])
def test_every_answer_forbids_what_the_page_does_not_need(page: TestClient, address: str) -> None:
    """No inline script or style, nothing from elsewhere, no frame, no sniffing, no referrer."""
    headers = page.get(address).headers
    policy = dict(part.strip().split(" ", 1) for part in headers["content-security-policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == policy["style-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == policy["form-action"] == "'none'"
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["cross-origin-resource-policy"] == "same-origin"


def test_the_page_carries_no_inline_script_or_style() -> None:
    """So the policy takes nothing from it."""
    from voicedraft.correct.web.app import TEMPLATES

    text = (TEMPLATES / "correct.html.j2").read_text(encoding="utf-8")
    assert "style=" not in text
    assert "<style" not in text
    assert text.count("<script") == text.count('<script type="module" src="/static/')
    assert not any(f" on{event}=" in text for event in ("click", "load", "error", "keydown"))


@pytest.mark.parametrize("path", [
    "/static/../templates/correct.html.j2", "/static/..%2f..%2f..%2fpyproject.toml", "/static/%2e%2e/%2e%2e/session.py",
    "/static/....//session.py", "/static//etc/passwd", "/static/..%5c..%5csession.py", "/sound/..%2f..%2fsecret.txt",
    "/sound/secret.txt", "/sound/1/../../secret.txt", "/api/peaks/%2e%2e", "/sound/-1", "/sound/0", "/sound/1e9",
    "/sound/99", "/static/%00", "/static/main.js%00.css",
])
def test_no_path_leads_out_of_the_session(page: TestClient, path: str) -> None:
    """Whatever is asked for, the answer is a 4xx without the file."""
    answer = page.get(path)
    assert 400 <= answer.status_code < 500
    assert HIDDEN not in answer.text
    assert "import " not in answer.text


def _point(folder: Path, path: Path, digest: str) -> None:
    write_text(folder / SOURCES, json.dumps({"takes": [{"number": 1, "path": str(path), "digest": digest}]}))


def test_only_the_very_recording_of_the_draft_is_served(page: TestClient, folder: Path) -> None:
    """A file that was changed since is refused by name, and so is its waveform."""
    wav = folder.parent / "takes" / "take-01.wav"
    assert page.get("/sound/1").status_code == 200
    wav.write_bytes(wav.read_bytes()[:-2] + b"\x00\x01")
    for address in ("/sound/1", "/api/peaks/1"):
        answer = page.get(address)
        assert answer.status_code == 404
        assert "take-01.wav is not the recording that the draft was made from" in answer.json()["message"]


def test_a_tampered_list_of_sources_does_not_open_other_files(page: TestClient, folder: Path) -> None:
    """A text, a folder, a link without digest, a missing file: none is served as sound."""
    import hashlib

    secret = folder.parent / "secret.txt"
    _point(folder, secret, hashlib.sha256(secret.read_bytes()).hexdigest())
    assert page.get("/sound/1").status_code == 404
    link = folder.parent / "x.wav"
    link.symlink_to(secret)
    for digest in ("", "0" * 64):
        _point(folder, link, digest)
        assert page.get("/sound/1").status_code == 404
    _point(folder, folder.parent / "gone.wav", "0" * 64)
    assert page.get("/sound/1").status_code == 404


def test_spoken_markup_stays_text(tmp_path: Path) -> None:
    """What was said reaches the page as JSON only, and the drafts written after a correction escape it."""
    nasty = "<script>alert(1)</script> <img src=x onerror=alert(1)>"
    transcript, passages = correcting.spoken((((nasty, "verdict", None), ("Bye.", "aside", None)),))
    from voicedraft.draft.compose import compose
    from voicedraft.types import Reading

    folder = correcting.draft(tmp_path / "draft", compose(Reading(transcript, passages)))
    with TestClient(create_app(folder, ENTRY), base_url=BASE) as client:
        client.get("/", params={"token": ENTRY})
        assert "alert(1)" not in client.get("/").text
        answer = client.get("/api/session")
        assert answer.headers["content-type"] == "application/json"
        change = {"what": "words.fix", "passage": "p1", "first": 0, "last": 1, "text": "<b onclick=x>bold</b>"}
        assert client.post("/api/corrections", json={"base": 0, "change": change}).status_code == 200
    html = (folder / "review.html").read_text(encoding="utf-8")
    assert "<b onclick" not in html
    assert "<img" not in html
    assert "&lt;b onclick=x&gt;" in html


def test_a_request_that_is_too_long_is_refused_unread(page: TestClient) -> None:
    """A correction is small; a megabyte is none. A body of unknown length is refused too."""
    assert page.post("/api/corrections", content=b"x" * 70_000).status_code == 413
    assert page.post("/api/corrections", content=iter([b"{}"])).status_code == 411


@pytest.mark.parametrize("body", [
    b"", b"{", b"[]", b"null", b'{"base": 0}', b'{"base": NaN, "change": {}}', b'{"base": 1e400, "change": {}}',
    b'{"base": 0, "change": {"what": "nothing"}}',
    b'{"base": 0, "change": {"what": "passage.accept", "passage": "\\ud800"}}',
    b'{"base": 0, "change": {"what": "fact.set", "name": "cigar", "value": "\\ud800", "source": {"passage": "p1"}}}',
    b'{"base": 0, "change": {"what": "fact.set", "name": "length_mm", "value": NaN, "source": {"passage": "p1"}}}',
    b'{"base": 0, "change": {"what": "score.add", "source": {"passage": "p1"}, "new": {"aspect": "a", "value": NaN, '
    b'"out_of": 10}}}', b"\xff\xfe", b'{"a":' * 5000,
])
def test_malformed_requests_get_a_sentence_and_change_nothing(page: TestClient, body: bytes) -> None:
    """Never a 500, always a message."""
    answer = page.post("/api/corrections", content=body, headers={"Content-Type": "application/json"})
    assert 400 <= answer.status_code < 500
    assert answer.json()["message"]
    assert page.get("/api/revision").json() == {"revision": 0}


def test_a_stale_request_is_told_what_changed(page: TestClient) -> None:
    """409, with the revision and a sentence a change; nothing is written."""
    page.post("/api/corrections", json=ACCEPT)
    answer = page.post("/api/corrections", json={"base": 0, "change": {"what": "passage.aside", "passage": "p7"}})
    assert answer.status_code == 409
    assert answer.json()["changed"] == ["passage at 0:00: accepted as Left out (asides)"]
    assert answer.json()["revision"] == 1
    assert page.get("/api/revision").json() == {"revision": 1}


def test_the_server_listens_on_loopback_only() -> None:
    """The socket is bound to 127.0.0.1, and a port in use is named."""
    from voicedraft.correct.web.serve import bind
    from voicedraft.errors import OutputError

    with bind(0) as first:
        host, port = first.getsockname()
        assert host == "127.0.0.1"
        with pytest.raises(OutputError, match=f"Port {port}.*--port"):
            bind(port)
