"""What every reading step starts from: sentences, their grammar (spaCy) and their vectors."""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from voicedraft.models import model_path
from voicedraft.read.sentences import Sentence, split
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
    encoded: tuple[Encoded, ...]


@lru_cache(maxsize=1)
def language() -> Language:
    """spaCy's small English pipeline without named entities, loaded once. Raises ModelError where it is missing."""
    import spacy

    return spacy.load(model_path("en-core-web-sm"), exclude=["ner", "senter"])


@lru_cache(maxsize=1)
def encoder() -> Encoder:
    """The sentence encoder, loaded once. Raises ModelError where it is missing."""
    return Encoder(model_path("all-MiniLM-L6-v2-int8"))


def looked_at(texts: Sequence[str]) -> tuple[tuple[Any, ...], tuple[Encoded, ...]]:
    """Grammar and vectors of each text. Raises ModelError where a language model is missing.

    The vectors are made in a thread beside the grammar: onnxruntime computes without holding the interpreter.
    """
    with ThreadPoolExecutor(max_workers=1, thread_name_prefix="vectors") as beside:
        encoding = beside.submit(lambda: tuple(encoder().encode(texts)))
        return tuple(language().pipe(texts, batch_size=64)), encoding.result()


def analyse(transcript: Transcript) -> Analysis:
    """Split, parse and encode a transcript. An empty transcript gives an empty analysis."""
    sentences = split(transcript)
    return Analysis(transcript, sentences, *looked_at([s.text for s in sentences]))
