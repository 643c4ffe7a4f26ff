"""What every reading step starts from: sentences, their grammar (spaCy) and their vectors."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from threading import Lock, Thread
from typing import TYPE_CHECKING, Any, overload

from voicedraft.errors import ModelError
from voicedraft.models import model_path
from voicedraft.read.in_use import InUse
from voicedraft.read.sentences import Sentence, split
from voicedraft.read.tuning import Tuning, shipped
from voicedraft.read.vectors import Encoded, Encoder
from voicedraft.types import Transcript

if TYPE_CHECKING:
    from spacy.language import Language


@dataclass(frozen=True, slots=True)
class Analysis:
    """`docs[i]` is the spaCy Doc and `encoded[i]` the vectors of `sentences[i].text`; characters line up."""

    transcript: Transcript
    sentences: tuple[Sentence, ...]
    docs: tuple[Any, ...]
    encoded: Sequence[Encoded]


@lru_cache(maxsize=1)
def language() -> Language:
    """spaCy's small English pipeline without named entities, loaded once. Raises ModelError where it is missing."""
    import spacy

    return spacy.load(model_path("en-core-web-sm"), exclude=["ner", "senter"])


@lru_cache(maxsize=2)
def _loaded(changes: Tuning | None) -> Encoder:
    return Encoder(model_path("all-MiniLM-L6-v2-int8"), changes)


_LOADING = Lock()


def _encoder(changes: Tuning | None) -> Encoder:
    with _LOADING:  # Who asks while another thread loads it waits for that one.
        return _loaded(changes)


tuning: InUse[Tuning | None] = InUse(shipped)
"""The learned changes that `encoder` has; None for the encoder as it came."""


def encoder() -> Encoder:
    """The sentence encoder with its learned changes, loaded once. Raises ModelError where either is missing."""
    return _encoder(tuning())


def load_ahead() -> None:
    """Begins to load the encoder in a thread of its own. Raises nothing: what is wrong is told when it is used."""

    def load() -> None:
        with suppress(ModelError):
            encoder()

    Thread(target=load, name="encoder").start()


class Coming(Sequence[Encoded]):
    """Vectors that are still being made: whoever asks for one waits for all."""

    def __init__(self, made: Future[list[Encoded]]) -> None:
        self._made = made

    def __len__(self) -> int:
        return len(self._made.result())

    @overload
    def __getitem__(self, index: int) -> Encoded: ...
    @overload
    def __getitem__(self, index: slice) -> list[Encoded]: ...
    def __getitem__(self, index: int | slice) -> Encoded | list[Encoded]:
        return self._made.result()[index]


def looked_at(texts: Sequence[str]) -> tuple[tuple[Any, ...], Sequence[Encoded]]:
    """Grammar and vectors of each text. Raises ModelError where a language model is missing, of the encoder when the
    first vector is asked for.

    The vectors are made in a thread beside the grammar and whatever is read from it before they are needed:
    onnxruntime computes without holding the interpreter.
    """
    beside = ThreadPoolExecutor(max_workers=1, thread_name_prefix="vectors")
    changes = tuning()
    coming = beside.submit(lambda: _encoder(changes).encode(texts))
    beside.shutdown(wait=False)
    return tuple(language().pipe(texts, batch_size=64)), Coming(coming)


def analyse(transcript: Transcript) -> Analysis:
    """Split, parse and encode a transcript. An empty transcript gives an empty analysis."""
    sentences = split(transcript)
    return Analysis(transcript, sentences, *looked_at([s.text for s in sentences]))
