"""`voicedraft correct DIR` as a process: its address, its end, and what is learned then."""

from __future__ import annotations

import http.client
import json
import os
import signal
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

from tests import correcting
from voicedraft.correct.learning import Store
from voicedraft.draft.write import read_review


def _ask(address: str, path: str, cookie: str = "", body: object = None) -> tuple[int, str]:
    """Status, and the cookie that was set."""
    parts = urlsplit(address)
    connection = http.client.HTTPConnection(str(parts.hostname), parts.port, timeout=20)
    headers = {"Cookie": cookie, "Content-Type": "application/json"}
    data = None if body is None else json.dumps(body)
    connection.request("GET" if data is None else "POST", path, data, headers)
    with connection.getresponse() as answer:
        answer.read()
        found = answer.status, str(answer.headers.get("set-cookie", "")).split(";")[0]
    connection.close()
    return found


def test_the_page_is_served_until_ctrl_c_and_then_learned_from(tmp_path: Path) -> None:
    """The printed address opens it, a correction is made, Ctrl-C ends it with code 0 and everything written."""
    folder = correcting.draft(tmp_path / "draft")
    process = subprocess.Popen(
        [sys.executable, "-m", "voicedraft", "correct", str(folder), "--no-browser", "--name", "Ada"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    try:
        address = process.stdout.readline().split()[-1]
        assert urlsplit(address).hostname == "127.0.0.1"
        assert _ask(address, "/api/session")[0] == 403
        _, cookie = _ask(address, f"/?{urlsplit(address).query}")
        new = {"term": "wet blackboard", "stage": "first"}
        change = {"what": "descriptor.add", "source": {"passage": "p5"}, "new": new}
        assert _ask(address, "/api/corrections", cookie, {"base": 0, "change": change})[0] == 200
    finally:
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=60)
    assert (process.returncode, err) == (0, "")
    assert "Learned 1 thing" in out
    assert "wet blackboard" in {d.term for d in read_review(folder / "review.json").descriptors}
    assert [x.event for _, x in Store().lessons()]
    assert json.loads((folder / "corrections.jsonl").read_text(encoding="utf-8"))["who"] == "Ada"


def test_a_folder_without_a_draft_is_named_before_anything_is_served(tmp_path: Path) -> None:
    """Exit code 2 and one sentence with the next step."""
    done = subprocess.run([sys.executable, "-m", "voicedraft", "correct", str(tmp_path), "--no-browser"],
                          capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == 2
    assert "Make a draft first: voicedraft draft INPUT --output DIR." in done.stderr
    assert done.stdout == ""
