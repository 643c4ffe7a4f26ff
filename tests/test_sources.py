"""sources.json beside a draft: what is odd in it is left out, and nothing breaks."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from voicedraft.correct.session import sounds_of
from voicedraft.draft.write import SOURCES, read_sources


@pytest.mark.parametrize("body", [
    "", "{", "[]", "null", "7", '"takes"', "{}", '{"takes": null}', '{"takes": {"number": 1}}',
    '{"takes": [1, null, []]}', '{"takes": [{"path": "take.wav", "digest": "d"}]}',
    '{"takes": [{"number": "one", "path": "take.wav", "digest": "d"}]}',
    '{"takes": [{"number": true, "path": "take.wav", "digest": "d"}]}',
    '{"takes": [{"number": 1, "path": 3, "digest": ""}]}',
    '{"takes": [{"number": 1, "path": "a\\u0000b", "digest": "d"}]}', "[" * 100_000,
])
def test_sources_of_another_shape_are_no_recordings(body: str, tmp_path: Path) -> None:
    """Neither reading them nor linking to them fails."""
    (tmp_path / SOURCES).write_text(body)
    assert read_sources(tmp_path) == {"takes": []}
    assert sounds_of(tmp_path) == {}


def test_a_right_entry_beside_an_odd_one_is_kept(tmp_path: Path) -> None:
    """The recording that is there is linked."""
    (tmp_path / "take.wav").write_bytes(b"sound")
    right = {"number": 2, "path": str(tmp_path / "take.wav"), "digest": "d"}
    (tmp_path / SOURCES).write_text(json.dumps({"takes": [{"number": 1}, right]}))
    assert read_sources(tmp_path) == {"takes": [right]}
    assert sounds_of(tmp_path) == {2: "take.wav"}
