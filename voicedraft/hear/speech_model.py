"""The speech model: found, verified, loaded once, on the device that is there."""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from voicedraft.errors import ModelError
from voicedraft.hear.english import English
from voicedraft.hear.tuned import Tuned
from voicedraft.models import file_digest, manifest, model_path
from voicedraft.progress import Progress

FORMATS = ("float16", "int8_float16", "bfloat16", "int8_bfloat16", "int8", "int8_float32", "float32")
"""Number formats by CTranslate2's own names (its documentation, "Quantization and reduced precision")."""
MOST_EACH = 2
"""Threads of one call. More make it slower: with 8 processors of an Intel Xeon the demo took 26.2, 16.0, 17.6, 23.6 and
25.8 s with 1, 2, 4, 6 and 8, with 4 it took 21.6, 15.2 and 22.5 s with 1, 2 and 3 (benchmarks/NOTES.md)."""


@dataclass(frozen=True, slots=True)
class SpeechModel:
    """A Whisper model in CTranslate2's format. `digest` names its weights."""

    name: str
    folder: Path
    digest: str


@dataclass(frozen=True, slots=True)
class Device:
    """Where the model runs. `kind` is "cpu" or "cuda", `compute` what CTranslate2 calls its number format."""

    kind: str
    compute: str
    threads: int

    @property
    def workers(self) -> int:
        """Calls of the model that run at once, the threads shared among them. On the processor one window is encoded
        while the one before it is decoded: two calls of one thread each are done sooner than one call of two after
        the other, and take less of the processor (benchmarks/NOTES.md)."""
        return 2 if self.kind == "cpu" and self.threads > 1 else 1

    @property
    def threads_each(self) -> int:
        """Threads of one call, MOST_EACH at most."""
        return max(1, min(self.threads // self.workers, MOST_EACH))


def find_speech_model(name: str) -> SpeechModel:
    """The model by a manifest name, a folder, or a name that faster-whisper knows (fetched once, kept by it).

    Raises ModelError where it is missing, broken, or cannot be fetched.
    """
    if name in manifest():
        if manifest()[name].kind != "speech":
            raise ModelError(f"{name} is not a speech model. Choose base, tiny.en or a folder.")
        folder = model_path(name)
    elif (folder := Path(name)).is_dir():
        if not (folder / "model.bin").is_file():
            raise ModelError(f"The folder {name} holds no model.bin. Give a folder with a CTranslate2 Whisper model.")
    else:
        folder = _known_to_faster_whisper(name)
    files = [p for p in sorted(folder.iterdir()) if p.suffix in (".bin", ".json", ".txt")]
    parts = [f"{p.name}:{file_digest(p)}" for p in files]
    return SpeechModel(name, folder, hashlib.sha256("\n".join(parts).encode()).hexdigest())


def _known_to_faster_whisper(name: str) -> Path:
    from faster_whisper.utils import available_models, download_model

    if "/" not in name and name not in available_models():
        choices = ", ".join(n for n, m in manifest().items() if m.kind == "speech")
        raise ModelError(f"There is no speech model named {name}. Choose {choices}, a folder, or one that "
                         f"faster-whisper knows: {', '.join(available_models())}.")
    with contextlib.suppress(Exception):  # Not there yet: the hub's own errors vary with its version.
        return Path(download_model(name, local_files_only=True))
    try:
        return Path(download_model(name))
    except Exception as error:
        raise ModelError(
            f"The speech model {name} is not on this machine and cannot be fetched ({type(error).__name__}). "
            "Open the network, give a folder that holds it, or use --model base."
        ) from error


class DeviceError(ModelError):
    """The GPU is there but cannot be worked with: a library or memory is missing. The processor can do the same."""


@contextlib.contextmanager
def on_device(device: Device) -> Iterator[None]:
    """CTranslate2's own error on a GPU as a DeviceError: it finds missing libraries only once it computes."""
    try:
        yield
    except RuntimeError as error:
        if device.kind != "cuda":
            raise
        raise DeviceError(f"The GPU cannot be used ({error}). Install CUDA's libraries (cuBLAS), free its memory, or "
                          "use --device cpu.") from error


def choose_device(wanted: str, threads: int, progress: Progress, compute: str = "") -> Device:
    """The device asked for, or the processor where it is not there; a fallback is said, never silent.

    `compute` is the number format asked for; one that the device cannot compute in is replaced, and that is said too.
    Raises ModelError where there is no such device or format.
    """
    cores = threads or min(len(os.sched_getaffinity(0)), 8)
    if wanted not in ("auto", "cpu", "cuda"):
        raise ModelError(f"There is no device named {wanted}. Choose auto, cpu or cuda.")
    if compute not in ("", *FORMATS):
        raise ModelError(f"There is no number format named {compute}. Choose one of: {', '.join(FORMATS)}.")
    if wanted == "cpu" or not _gpus():
        if wanted == "cuda":
            progress.say("No GPU was found; the processor is used instead.")
        return Device("cpu", _compute("cpu", ("int8", "int8_float32", "float32"), compute, progress), cores)
    return Device("cuda", _compute("cuda", ("float16", "int8_float16", "float32"), compute, progress), cores)


def _gpus() -> int:
    """How many GPUs CTranslate2 sees; none where the driver is missing or broken."""
    import ctranslate2

    try:
        return int(ctranslate2.get_cuda_device_count())
    except RuntimeError:
        return 0


def _compute(kind: str, best: tuple[str, ...], wanted: str, progress: Progress) -> str:
    """The format wanted where `kind` can compute in it, else the first of `best` that it can."""
    import ctranslate2

    try:
        able = ctranslate2.get_supported_compute_types(kind)
    except (RuntimeError, ValueError):
        able = {best[-1]}
    if wanted in able:
        return wanted
    chosen = next((b for b in best if b in able), best[-1])
    if wanted:
        where = "GPU" if kind == "cuda" else "processor"
        progress.say(f"The {where} does not compute in {wanted}; {chosen} is used instead.")
    return chosen


def load(model: SpeechModel, device: Device, tuned: Tuned | None = None, english: English | None = None) -> Any:
    """faster-whisper's model object, changed as `tuned` says, with what `english` leaves of its vocabulary. Raises
    ModelError where the weights cannot be loaded on that device, DeviceError where the processor could still load
    them."""
    from faster_whisper import WhisperModel

    try:
        with _as_loaded(model, tuned, english) as folder:
            return WhisperModel(
                str(folder), device=device.kind, compute_type=device.compute, local_files_only=True,
                cpu_threads=device.threads_each, num_workers=device.workers,
            )
    except (RuntimeError, ValueError, OSError) as error:
        kind = DeviceError if device.kind == "cuda" else ModelError
        raise kind(f"The speech model {model.name} cannot be loaded on {device.kind} ({error}). "
                   "Try --device cpu, or install the model again.") from error


@contextlib.contextmanager
def _as_loaded(model: SpeechModel, tuned: Tuned | None, english: English | None) -> Iterator[Path]:
    """The model's folder, or for the time of loading another one, where its tokenizer must be mended, its weights
    changed or its vocabulary cut. In a file, since CTranslate2 would keep the bytes of a model that it is given in
    memory."""
    tokenizer = mended_tokenizer(model.folder)
    if tokenizer is None and tuned is None and english is None:
        yield model.folder
        return
    with tempfile.TemporaryDirectory(prefix="voicedraft-") as name:
        folder = Path(name)
        for file in model.folder.iterdir():
            if file.name == "tokenizer.json" and tokenizer is not None:
                (folder / file.name).write_bytes(tokenizer)
            elif file.name == "model.bin" and (tuned or english):
                shutil.copyfile(file, folder / file.name)
            else:
                (folder / file.name).symlink_to(file.resolve())
        if tuned:
            tuned.put_into(folder / "model.bin")
        if english:
            english.put_into(folder)
        yield folder


def mended_tokenizer(folder: Path) -> bytes | None:
    """tokenizer.json with its first merge, or None where nothing is amiss.

    Some published files have lost it, as if it were a heading: " the" in a prompt then becomes pieces that the model
    never saw. GPT-2's vocabulary, which Whisper's extends, begins with the merge of a blank and t.
    """
    file = folder / "tokenizer.json"
    if not file.is_file():
        return None
    held = json.loads(file.read_text(encoding="utf-8"))
    merges = held.get("model", {}).get("merges", [])
    if not merges or "Ġt" not in held["model"].get("vocab", {}) or "Ġ t" in merges or ["Ġ", "t"] in merges:
        return None
    merges.insert(0, "Ġ t" if isinstance(merges[0], str) else ["Ġ", "t"])
    return json.dumps(held, ensure_ascii=False).encode()
