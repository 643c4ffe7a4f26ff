"""The command line as a user meets it: one clear sentence, exit code 2, nothing half-written, no traceback."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.conftest import ROOT
from voicedraft.cli import COLLECT_EVERY, COMMANDS, cli, run
from voicedraft.cli.reference import reference
from voicedraft.evaluate.gold import load
from voicedraft.evaluate.gold_vtt import to_vtt

SHORT = ROOT / "tests/gold/short/f05.json"


def _draft(tmp_path: Path, *args: str) -> tuple[int, Path]:
    out = tmp_path / "draft"
    return run(["draft", *args, "--output", str(out)]), out


def _vtt(tmp_path: Path, name: str = "session.vtt") -> Path:
    path = tmp_path / name
    path.write_text(to_vtt(load(SHORT), "sentences"), encoding="utf-8")
    return path


def test_the_reference_is_what_the_program_says_of_itself() -> None:
    """Run `make docs` after a change of a command."""
    assert (ROOT / "CLI.md").read_text(encoding="utf-8") == reference()


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_and_stands_in_the_readme_or_the_reference(name: str) -> None:
    """No undocumented command."""
    command = cli.get_command(None, name)  # type: ignore[arg-type]
    assert command is not None
    assert command.help
    assert f"## voicedraft {name}" in (ROOT / "CLI.md").read_text(encoding="utf-8")


def test_a_transcript_becomes_a_draft_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every file of the draft is there, the review has the contract's keys, and the screen names the folder."""
    code, out = _draft(tmp_path, str(_vtt(tmp_path)))
    assert code == 0
    names = {p.name for p in out.iterdir()}
    assert {"review.json", "review.md", "review.html", "transcript.vtt", "evidence.json", "sources.json"} <= names
    review = json.loads((out / "review.json").read_text(encoding="utf-8"))
    spoken = [w for t in load(SHORT)["takes"] for s in t["sentences"] for w in s["t"].split()]
    assert [w for p in review["passages"] for w in p["text"].split()] == spoken
    assert str(out) in capsys.readouterr().out.replace("\n", "")


def test_a_transcript_is_drafted_without_loading_what_hears_and_with_python_set_up(tmp_path: Path) -> None:
    """A start from a transcript stays quick: no FFmpeg, no speech model, few looks for garbage, one thread of BLAS."""
    look = ("import atexit, gc, os, sys; atexit.register(lambda: print([m for m in ('av', 'faster_whisper', "
            "'ctranslate2') if m in sys.modules], gc.get_threshold(), gc.get_freeze_count() > 0, "
            "sys.getswitchinterval() < 0.001, os.environ['OPENBLAS_NUM_THREADS'])); "
            "from voicedraft.cli import main; main()")
    command = [sys.executable, "-c", look, "draft", str(_vtt(tmp_path)), "-o", str(tmp_path / "out"), "-q"]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == f"[] {COLLECT_EVERY} True True 1"


def test_every_value_of_a_draft_leads_to_words_that_were_said(tmp_path: Path) -> None:
    """Passage, words and time of each value agree with the passage that it names."""
    code, out = _draft(tmp_path, str(_vtt(tmp_path)), "--quiet")
    assert code == 0
    review = json.loads((out / "review.json").read_text(encoding="utf-8"))
    passages = {p["id"]: p for p in review["passages"]}
    values = [*review["descriptors"], *review["facts"].values(), *review["strength"].values(), *review["scores"]]
    values += [v for kind in review["pairings"].values() for v in kind]
    assert len(values) > 10
    for value in values:
        passage = passages[value["passage"]]
        assert passage["start"] <= value["start"] < value["end"] <= passage["end"]


def test_explain_prints_the_evidence_of_a_passage_and_of_a_fact(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By passage id and by name."""
    _, out = _draft(tmp_path, str(_vtt(tmp_path)), "--quiet")
    assert run(["explain", str(out), "p1"]) == 0
    assert "p1" in capsys.readouterr().out
    facts = json.loads((out / "review.json").read_text(encoding="utf-8"))["facts"]
    assert run(["explain", str(out), next(iter(facts))]) == 0
    assert "fact:" in capsys.readouterr().out
    assert run(["explain", str(out), "nonesuch"]) == 2
    assert "nothing called 'nonesuch'" in capsys.readouterr().err


BAD_INPUTS = {
    "missing.vtt": (None, "missing.vtt"),
    "empty.vtt": (b"", "empty.vtt"),
    "words.vtt": (b"just words", "WebVTT"),
    "backwards.vtt": (b"WEBVTT\n\n00:00:05.000 --> 00:00:02.000\nhello\n", "backwards"),
    "nothing.srt": (b"\n\n", "nothing.srt"),
    "empty.wav": (b"", "empty.wav"),
    "noise.mp3": (bytes(range(256)) * 40, "noise.mp3"),
    "text.flac": (b"this is no sound at all", "text.flac"),
}


@pytest.mark.parametrize("name", BAD_INPUTS)
def test_a_bad_input_is_one_sentence_and_exit_code_2(
    tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """The message names the input; nothing is written and nothing is left."""
    data, named = BAD_INPUTS[name]
    path = tmp_path / name
    if data is not None:
        path.write_bytes(data)
    code, out = _draft(tmp_path, str(path))
    told = capsys.readouterr().err
    assert code == 2
    assert named in told
    assert told.startswith("voicedraft: ")
    assert told.rstrip().endswith(".")
    assert "Traceback" not in told
    assert not out.exists()


def test_an_output_that_cannot_be_a_folder_is_refused_before_any_work(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file stands where the folder should be: it stays as it is."""
    (tmp_path / "draft").write_text("mine", encoding="utf-8")
    code, out = _draft(tmp_path, str(_vtt(tmp_path)))
    assert code == 2
    assert "is a file, not a folder" in capsys.readouterr().err
    assert out.read_text(encoding="utf-8") == "mine"


def test_an_unknown_option_and_no_input_are_told_without_a_traceback() -> None:
    """As a whole process: exit code 2 and click's own hint."""
    for args in (["draft"], ["draft", "--colour"], ["nonesuch"]):
        done = subprocess.run([sys.executable, "-m", "voicedraft", *args], capture_output=True, text=True, check=False)
        assert done.returncode == 2, args
        assert "Traceback" not in done.stderr
        assert "Usage:" in done.stderr


def test_a_missing_language_model_says_how_to_install_it(tmp_path: Path) -> None:
    """With an empty model folder and no other, the error names the command."""
    env = {**os.environ, "VOICEDRAFT_MODELS": str(tmp_path / "none"), "HOME": str(tmp_path),
           "XDG_DATA_HOME": str(tmp_path), "PYTHONPATH": ""}
    code = ("import voicedraft.models as m; m._checkout = lambda: None\nfrom voicedraft.cli import run\n"
            f"raise SystemExit(run(['draft', {str(_vtt(tmp_path))!r}, '--output', {str(tmp_path / 'o')!r}]))")
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env=env, check=False)
    assert done.returncode == 2
    assert "voicedraft models install" in done.stderr
    assert "Traceback" not in done.stderr


def test_evaluate_prints_figures_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    """The totals and each session's counts, and the words counted are those of the session."""
    assert run(["evaluate", str(SHORT), "--style", "sentences", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert 0.5 < data["total"]["sentences"]["sections"] <= 1
    assert data["sessions"][0]["counts"]["sections"]["words"] > 200


def test_evaluate_refuses_a_file_that_is_no_gold_session(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The message names the file."""
    path = tmp_path / "other.json"
    path.write_text("{}", encoding="utf-8")
    assert run(["evaluate", str(path)]) == 2
    assert "other.json is no gold session" in capsys.readouterr().err


def test_evaluate_prints_a_table_with_confusions(capsys: pytest.CaptureFixture[str]) -> None:
    """For people: figures by style and the sections that were confused."""
    assert run(["evaluate", str(SHORT), "--style", "cues", "--details"]) == 0
    told = capsys.readouterr().out
    assert "descriptor f1" in told
    assert "Confusions" in told


def test_drafting_again_keeps_the_corrections(tmp_path: Path) -> None:
    """A passage marked as an aside stays one when the same session is drafted again."""
    from tests import correcting
    from voicedraft.correct.session import Session

    code, out = _draft(tmp_path, str(_vtt(tmp_path)), "--quiet")
    assert code == 0
    before = json.loads((out / "review.json").read_text(encoding="utf-8"))["passages"]
    chosen = next(p for p in before if p["section"] != "aside")
    with Session(out) as session:
        correcting.correct(session, "passage.aside", passage=chosen["id"])
    assert _draft(tmp_path, str(_vtt(tmp_path)), "--quiet")[0] == 0
    after = json.loads((out / "review.json").read_text(encoding="utf-8"))["passages"]
    changed = [p["id"] for p, q in zip(after, before, strict=True) if p["section"] != q["section"]]
    assert changed == [chosen["id"]]
