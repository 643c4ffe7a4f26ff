"""Shared by the tests: where the gold sessions lie, and reviews made from them."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parent.parent
GOLD = sorted((ROOT / "tests/gold/sessions").glob("*.json"))
sys.path.insert(0, str(ROOT / "tests/reference"))


@pytest.fixture(autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """No test reads or writes the user's own words or cache."""
    base = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("VOICEDRAFT_LEXICON", str(base / "lexicon"))
    monkeypatch.setenv("VOICEDRAFT_CACHE", str(base / "cache"))


@pytest.fixture(scope="session")
def gold_sessions() -> list[dict[str, Any]]:
    """The 21 development sessions."""
    return [json.loads(p.read_text(encoding="utf-8")) for p in GOLD]
