"""Sentence and token vectors of all-MiniLM-L6-v2 (int8 ONNX), on onnxruntime and tokenizers.

One pass gives both: the sentence vector is the mean of the token vectors over the attention mask, normalised to
length 1, as the original model card says.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from voicedraft.read.tuning import Tuning

Floats = npt.NDArray[np.float32]

DIMENSIONS = 384
MAX_TOKENS = 256
"""The model's own limit on word pieces (its model card: longer input is cut)."""
BATCH = 8


@dataclass(frozen=True, slots=True)
class Encoded:
    """`sentence`: (384,) of length 1. `pieces`: (n, 384), one row a word piece without the two special ones.

    `offsets`: n pairs of character positions in the text, half-open.
    """

    sentence: Floats
    pieces: Floats
    offsets: tuple[tuple[int, int], ...]

    def pooled(self, spans: Sequence[tuple[int, int]]) -> Floats:
        """(spans, 384): the mean of the word pieces that overlap each span of characters, begin and end; zeros where
        none does, as past the encoder's limit."""
        out = np.zeros((len(spans), DIMENSIONS), np.float32)
        for row, (first, last) in zip(out, overlapped(self.offsets, spans), strict=True):
            if last > first:
                row[:] = self.pieces[first:last].mean(axis=0) if last > first + 1 else self.pieces[first]
        return out


def overlapped(offsets: Sequence[tuple[int, int]], spans: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """First and one past the last word piece that overlaps each span; both are in order of the text."""
    starts, ends = [a for a, _ in offsets], [z for _, z in offsets]
    return [(bisect_right(ends, begin), bisect_left(starts, end)) for begin, end in spans]


class Encoder:
    """Loads the model of `folder` once, with what was learned of it put in. Raises whatever onnxruntime raises on a
    broken file; digests are checked before this by `voicedraft.models`. Raises ModelError where the learned changes
    belong to another model file."""

    def __init__(self, folder: Path, tuning: Tuning | None = None, threads: int = 0) -> None:
        import onnxruntime
        from tokenizers import Tokenizer

        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        options.log_severity_level = 3
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        model = (folder / "model.onnx").read_bytes()
        self._session = onnxruntime.InferenceSession(
            tuning.applied(model) if tuning else model, options, providers=["CPUExecutionProvider"]
        )
        self._tokenizer: Any = Tokenizer.from_file(str(folder / "tokenizer.json"))
        self._tokenizer.no_padding()
        self._tokenizer.enable_truncation(MAX_TOKENS)

    def pieces(self, text: str) -> tuple[list[int], list[tuple[int, int]]]:
        """(ids of the word pieces with the two special ones, offsets of the others in the text)."""
        e = self._tokenizer.encode(text)
        return e.ids, [o for o, special in zip(e.offsets, e.special_tokens_mask, strict=True) if not special]

    def encode(self, texts: Sequence[str]) -> list[Encoded]:
        """One `Encoded` a text, in order. Texts are batched by length, so that little is padded."""
        encodings = self._tokenizer.encode_batch(list(texts))
        order = sorted(range(len(texts)), key=lambda i: len(encodings[i].ids))
        out: dict[int, Encoded] = {}
        for begin in range(0, len(order), BATCH):
            self._run([(i, encodings[i]) for i in order[begin : begin + BATCH]], out)
        return [out[i] for i in range(len(texts))]

    def _run(self, batch: list[tuple[int, Any]], out: dict[int, Encoded]) -> None:
        width = max(len(e.ids) for _, e in batch)
        ids = np.zeros((len(batch), width), np.int64)
        mask = np.zeros((len(batch), width), np.int64)
        for row, (_, e) in enumerate(batch):
            ids[row, : len(e.ids)] = e.ids
            mask[row, : len(e.ids)] = 1
        feed = {"input_ids": ids, "attention_mask": mask, "token_type_ids": np.zeros_like(ids)}
        hidden = self._session.run(["last_hidden_state"], feed)[0]
        for row, (i, e) in enumerate(batch):
            rows = hidden[row, : len(e.ids)]
            mean = rows.mean(axis=0)
            keep = [k for k, special in enumerate(e.special_tokens_mask) if not special]
            out[i] = Encoded(
                sentence=(mean / max(float(np.linalg.norm(mean)), 1e-9)).astype(np.float32),
                pieces=rows[keep].astype(np.float32),
                offsets=tuple(e.offsets[k] for k in keep),
            )
