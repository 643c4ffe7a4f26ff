"""Windows of speech to words with times: encoded one by one, decoded together, aligned one by one.

Encoding singly keeps the memory of the encoder's attention (72 MB a layer for 1,500 frames and 8 heads) to one window;
decoding together reads the decoder's weights once for all.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import ctranslate2
import numpy as np
import numpy.typing as npt
from faster_whisper.audio import pad_or_trim
from faster_whisper.tokenizer import Tokenizer
from faster_whisper.transcribe import get_compression_ratio, get_suppressed_tokens, merge_punctuations

from voicedraft.hear.english import English
from voicedraft.hear.speech_model import Device, SpeechModel, load, on_device
from voicedraft.hear.tuned import Tuned
from voicedraft.hear.windows import Window

BEAM = 2
"""Hypotheses held while decoding. Measured: as good as 5 on our sessions at two thirds of the time."""
SECOND_BEAM = 5
"""The same for a window that must be heard again."""
PREPEND, APPEND = "\"'“¿([{-", "\"'.。,，!！?？:：”)]}、"  # faster-whisper's own defaults
LATE_S = 0.06
"""Attention points at a word this much before it is spoken: the median over 1,377 words of synthesised speech."""
_FRAMES_A_SECOND = 100
LEAST_S, BEYOND_S = 15.0, 3.0
"""On the processor a window that is not full is encoded at its own length and this much silence, but no shorter than
LEAST_S, in place of the 30 s that Whisper was trained on: as many words right, measured (benchmarks/NOTES.md)."""

Encoded = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class HeardWord:
    """A word as the model wrote it, in seconds of its window."""

    text: str
    start: float
    end: float
    probability: float


@dataclass(frozen=True, slots=True)
class Result:
    """What the model made of one window, before any guard. `silence` is its own probability of no speech."""

    text: str
    tokens: tuple[int, ...]
    log_probability: float
    """Mean over tokens."""
    silence: float
    repetition: float
    """Ratio of the text's bytes to its zlib-compressed bytes."""
    seconds: float = 0.0
    """Length of the window."""


class Recogniser:
    """One loaded model. `recognise` is deterministic for the same windows, words and device."""

    def __init__(
        self, model: SpeechModel, device: Device, language: str | None, tuned: Tuned | None = None,
        english: English | None = None,
    ) -> None:
        self.model, self.device = model, device
        self._whisper = load(model, device, tuned, english)
        self._multilingual = english is not None or self._whisper.model.is_multilingual
        """CTranslate2 tells it by the size of the vocabulary."""
        self._language = language
        self._tokens: Tokenizer | None = None
        self._last: tuple[Encoded, Any] | None = None
        """On a GPU the window encoded alone last: it is aligned, heard again and aligned again one after the other."""

    @property
    def tokens(self) -> Tokenizer:
        """The tokenizer, once the language is known."""
        if self._tokens is None:
            self._tokens = Tokenizer(
                self._whisper.hf_tokenizer, self._multilingual, task="transcribe",
                language=(self._multilingual and self._language) or "en",
            )
        return self._tokens

    def encode(self, window: Window) -> Encoded:
        """The encoder's output for one window, shape (1, at most 1500, width); on a GPU its features, shape (1, 80,
        3000), for encoding together."""
        bare = self._whisper.feature_extractor(window.samples)[..., :-1]
        features = pad_or_trim(bare)[None]
        if self._language is None and self._multilingual:
            with on_device(self.device):
                self._language = self._whisper.detect_language(features=features[0])[0]
        if self.device.kind == "cuda":
            return np.asarray(features, np.float32)
        frames = round(max(LEAST_S, window.seconds + BEYOND_S) * _FRAMES_A_SECOND / 2) * 2  # The encoder halves them.
        return np.array(self._whisper.encode(pad_or_trim(bare, min(frames, features.shape[-1]))[None]))

    def _stored(self, encoded: Sequence[Encoded]) -> Any:
        stacked = np.ascontiguousarray(np.concatenate(encoded))
        if self.device.kind == "cuda":
            last = self._last
            if len(encoded) == 1 and last is not None and last[0] is encoded[0]:
                return last[1]
            stored = self._whisper.encode(stacked)
            self._last = (encoded[0], stored) if len(encoded) == 1 else last
            return stored
        return ctranslate2.StorageView.from_array(stacked)

    def decode(
        self, encoded: Sequence[Encoded], seconds: Sequence[float], hotwords: str, beam: int = BEAM,
        no_repeat: int = 0,
    ) -> list[Result]:
        """What the model makes of each encoded window. no_repeat: tokens in a row that may not come twice, 0 for any.

        Nothing is drawn by lot: a window heard again gives the same. Raises DeviceError.
        """
        with on_device(self.device):
            return self._decode(encoded, seconds, hotwords, beam, no_repeat)

    def _decode(
        self, encoded: Sequence[Encoded], seconds: Sequence[float], hotwords: str, beam: int, no_repeat: int
    ) -> list[Result]:
        stored = self._stored(encoded)
        prompt = self._whisper.get_prompt(
            self.tokens, previous_tokens=[], without_timestamps=True, hotwords=hotwords or None
        )
        outputs = self._whisper.model.generate(
            stored, [prompt] * len(encoded), beam_size=beam, max_length=self._whisper.max_length,
            suppress_blank=True, suppress_tokens=get_suppressed_tokens(self.tokens, [-1]), return_scores=True,
            return_no_speech_prob=True, no_repeat_ngram_size=no_repeat,
        )
        return [self._result(o, s) for o, s in zip(outputs, seconds, strict=True)]

    def _result(self, output: Any, seconds: float) -> Result:
        ids = output.sequences_ids[0]
        text = self.tokens.decode(ids)
        return Result(
            text=text.strip(), tokens=tuple(ids), silence=float(output.no_speech_prob),
            log_probability=float(output.scores[0]) * len(ids) / (len(ids) + 1),
            repetition=get_compression_ratio(text) if text else 0.0, seconds=seconds,
        )

    def align(self, encoded: Encoded, result: Result) -> list[HeardWord]:
        """The words of a result with their times, by the decoder's attention to the sound. Raises DeviceError."""
        frames = int(np.ceil(result.seconds) * _FRAMES_A_SECOND)
        tokens = [t for t in result.tokens if t < self.tokens.eot]
        if not tokens:
            return []
        with on_device(self.device):
            [alignment] = self._whisper.find_alignment(self.tokens, [tokens], self._stored([encoded]), [frames])
        merge_punctuations(alignment, PREPEND, APPEND)
        return list(_words(alignment))


def _words(alignment: list[dict[str, Any]]) -> Iterator[HeardWord]:
    """Pieces that the tokenizer splits off without a blank ("fifty", "-two"; "$9", ".50") are one word again."""
    held: HeardWord | None = None
    for item in alignment:
        text, joined = item["word"].strip(), not item["word"].startswith(" ")
        if not text:
            continue
        start, end, odds = float(item["start"]) + LATE_S, float(item["end"]) + LATE_S, float(item["probability"])
        if held is not None and joined:
            held = HeardWord(held.text + text, held.start, end, min(held.probability, odds))
            continue
        if held is not None:
            yield held
        held = HeardWord(text, start, end, odds)
    if held is not None:
        yield held
