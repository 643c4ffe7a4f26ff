"""Where the speech model runs: the GPU asked for, and the processor where there is none that can be worked with."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.hear_sounds import human_sentences, samples_of, white_noise
from tests.hear_sounds import write_sound as write
from voicedraft.errors import ModelError
from voicedraft.hear import HearOptions, hear, recognise, speech_model
from voicedraft.hear.recognise import Recogniser
from voicedraft.hear.speech_model import Device, DeviceError, choose_device, on_device
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.progress import SilentProgress

MISSING = "Library libcublas.so.12 is not found or cannot be loaded"
"""What CTranslate2 4.8.5 said on an NVIDIA H100 whose machine had cuBLAS 13 only, once it had loaded the model."""


class Watch(SilentProgress):
    """Keeps what it is told."""

    def __init__(self) -> None:
        self.said: list[str] = []

    def say(self, message: str) -> None:
        self.said.append(message)


@pytest.fixture(scope="module")
def lexicon() -> Lexicon:
    return load_lexicon()


@pytest.fixture(scope="module")
def take(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One human sentence."""
    path = tmp_path_factory.mktemp("take") / "one.flac"
    gap = white_noise(0.8, 0.0005)
    write(path, np.concatenate([gap, samples_of(human_sentences()[0][0]), gap]))
    return path


def heard(take: Path, lexicon: Lexicon, cache: Path, device: str, compute: str = "") -> tuple[list[str], list[str]]:
    """The words, and what was said in passing."""
    watch = Watch()
    options = HearOptions(model="tiny.en", device=device, compute=compute, cache=cache)
    return [w.text for w in hear([take], options, lexicon, watch).words], watch.said


def gpus(monkeypatch: pytest.MonkeyPatch, count: int) -> None:
    """A machine on which CTranslate2 sees `count` GPUs that compute in float16."""
    import ctranslate2

    real = ctranslate2.get_supported_compute_types
    monkeypatch.setattr(ctranslate2, "get_cuda_device_count", lambda: count)
    monkeypatch.setattr(ctranslate2, "get_supported_compute_types",
                        lambda kind: {"float16", "int8_float16", "float32"} if kind == "cuda" else real(kind))


def test_without_a_gpu_the_processor_hears_the_same_and_says_so(
    take: Path, lexicon: Lexicon, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Device "cuda" where CTranslate2 sees none; "auto" says nothing, since nothing was asked for."""
    gpus(monkeypatch, 0)
    words, said = heard(take, lexicon, tmp_path / "cpu", "cpu")
    assert len(words) > 5
    assert not said
    assert heard(take, lexicon, tmp_path / "cuda", "cuda") == (
        words, ["No GPU was found; the processor is used instead."])
    assert heard(take, lexicon, tmp_path / "auto", "auto") == (words, [])


def test_a_broken_driver_counts_as_no_gpu(monkeypatch: pytest.MonkeyPatch) -> None:
    """CTranslate2 raises RuntimeError where CUDA's driver is too old to be asked."""
    def broken() -> int:
        raise RuntimeError("CUDA driver version is insufficient for CUDA runtime version")

    monkeypatch.setattr("ctranslate2.get_cuda_device_count", broken)
    watch = Watch()
    assert choose_device("cuda", 1, watch).kind == "cpu"
    assert watch.said == ["No GPU was found; the processor is used instead."]


@pytest.mark.parametrize("device", ["auto", "cuda"])
def test_a_gpu_on_which_the_model_cannot_be_loaded_gives_way_to_the_processor(
    take: Path, lexicon: Lexicon, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, device: str
) -> None:
    """A GPU is reported; CTranslate2's own error on loading is told and the hearing goes on."""
    def full(folder: str, device: str, **rest: Any) -> Any:
        if device == "cuda":
            raise RuntimeError("CUDA failed with error out of memory")
        return real(folder, device=device, **rest)

    from faster_whisper import WhisperModel as real

    words, _ = heard(take, lexicon, tmp_path / "cpu", "cpu")
    gpus(monkeypatch, 1)
    monkeypatch.setattr("faster_whisper.WhisperModel", full)
    again, said = heard(take, lexicon, tmp_path / "gpu", device)
    assert again == words
    assert len(said) == 1
    assert "out of memory" in said[0]
    assert said[0].endswith("The processor is used instead.")


def test_a_library_missed_while_computing_gives_way_to_the_processor(
    take: Path, lexicon: Lexicon, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """cuBLAS is looked for at the first product only, after the model was loaded without complaint."""
    words, _ = heard(take, lexicon, tmp_path / "cpu", "cpu")
    gpus(monkeypatch, 1)
    real_load, real_stored = speech_model.load, Recogniser._stored

    def stored(self: Recogniser, encoded: Any) -> Any:
        if self.device.kind == "cuda":
            raise RuntimeError(MISSING)
        return real_stored(self, encoded)

    monkeypatch.setattr(recognise, "load", lambda model, _, *rest: real_load(model, Device("cpu", "int8", 1)))
    monkeypatch.setattr(Recogniser, "_stored", stored)
    again, said = heard(take, lexicon, tmp_path / "gpu", "auto")
    assert again == words
    assert said == [f"The GPU cannot be used ({MISSING}). Install CUDA's libraries (cuBLAS), free its memory, or "
                    "use --device cpu. The processor is used instead."]


def test_only_a_gpu_s_error_is_a_device_error() -> None:
    """On the processor the same error is a fault of ours and stays what it is."""
    with pytest.raises(DeviceError, match="libcublas"), on_device(Device("cuda", "float16", 1)):
        raise RuntimeError(MISSING)
    with pytest.raises(RuntimeError, match=r"^broken$"), on_device(Device("cpu", "int8", 1)):
        raise RuntimeError("broken")


@pytest.mark.parametrize(("wanted", "got"), [("", "float16"), ("int8_float16", "int8_float16"), ("float32", "float32")])
def test_the_number_format_asked_for_is_used_on_a_gpu(monkeypatch: pytest.MonkeyPatch, wanted: str, got: str) -> None:
    """float16 where nothing is asked for."""
    gpus(monkeypatch, 1)
    watch = Watch()
    assert choose_device("auto", 3, watch, wanted) == Device("cuda", got, 3)
    assert not watch.said


def test_a_number_format_that_the_device_lacks_is_replaced_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """float16 on a processor that computes in int8 and float32, bfloat16 on a GPU before Ampere."""
    gpus(monkeypatch, 1)
    watch = Watch()
    assert choose_device("cuda", 1, watch, "bfloat16").compute == "float16"
    monkeypatch.setattr("ctranslate2.get_supported_compute_types", lambda kind: {"int8", "float32"})
    assert choose_device("cpu", 1, watch, "float16").compute == "int8"
    assert watch.said == ["The GPU does not compute in bfloat16; float16 is used instead.",
                          "The processor does not compute in float16; int8 is used instead."]


@pytest.mark.parametrize(("device", "compute", "message"), [
    ("tpu", "", "no device named tpu"), ("cpu", "int4", "no number format named int4"),
])
def test_an_unknown_device_or_format_is_an_error(device: str, compute: str, message: str) -> None:
    """The message lists what may be chosen."""
    with pytest.raises(ModelError, match=message):
        choose_device(device, 1, SilentProgress(), compute)


def test_the_command_line_offers_every_number_format_there_is() -> None:
    """The list is written twice, so that a start stays fast; it must be the same."""
    from voicedraft.cli import draft
    from voicedraft.hear import speech_model

    assert ("auto", *speech_model.FORMATS) == draft.FORMATS
    assert draft.DEVICES == ("auto", "cpu", "cuda")


def test_the_number_format_reaches_the_hearing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`--compute int8` is what the hear room is asked for; auto leaves the choice to it."""
    from click.testing import CliRunner

    from voicedraft import session
    from voicedraft.cli.draft import command
    from voicedraft.errors import SilentAudioError

    asked: list[str] = []

    def hearing(inputs: object, options: HearOptions, *rest: object) -> None:
        asked.append(options.compute)
        raise SilentAudioError("Nothing was heard.")

    monkeypatch.setattr(session, "hear", hearing)
    for given in (["--compute", "int8"], [], ["--compute", "auto"]):
        CliRunner().invoke(command, ["take.wav", "-o", str(tmp_path / "out"), "-q", *given])
    assert asked == ["int8", "", ""]
    assert "is not one of" in CliRunner().invoke(command, ["a.wav", "-o", "x", "--compute", "int4"]).output


@pytest.mark.parametrize(("kind", "threads", "calls", "each"), [
    ("cpu", 1, 1, 1), ("cpu", 2, 2, 1), ("cpu", 3, 2, 1), ("cpu", 4, 2, 2), ("cpu", 8, 2, 2), ("cuda", 8, 1, 2),
])
def test_the_threads_are_shared_and_never_too_many(kind: str, threads: int, calls: int, each: int) -> None:
    """Two calls at once on the processor, never more threads than there are, never more than two each."""
    device = Device(kind, "int8", threads)
    assert (device.workers, device.threads_each) == (calls, each)
