"""Whisper in PyTorch, from a CTranslate2 model: features, encoder, decoder, and the thin matrices that are learned.

Architecture: Radford et al. 2022, section 2.2. Sound is made into features as faster-whisper does, on whatever device.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import torch
from torch.nn import functional

from voicedraft.hear.model_file import Held, variables

HEAD, STEP, WINDOW, MELS = 64, 160, 400, 80
"""Width of an attention head; samples of a step and of a window of the features; bands."""
FRAMES = 3000
Tensors = dict[str, torch.Tensor]

SOT, ENGLISH, TRANSCRIBE, PREVIOUS, NO_SPEECH, NO_TIMES, EOT = 50258, 50259, 50359, 50361, 50362, 50363, 50257
"""Special pieces of the multilingual Whisper models."""
SOUND = "encoder/"
"""Names of what hears the sound begin so."""
PREFIX = (SOT, ENGLISH, TRANSCRIBE, NO_TIMES)


@dataclass(frozen=True)
class Part:
    """A matrix, or rows of one, that is changed: its name in the model, first row, and rows in all."""

    name: str
    first: int
    rows: int
    columns: int
    at: int

    @property
    def key(self) -> str:
        """Names its thin matrices."""
        return self.name


@dataclass(frozen=True)
class Whisper:
    """`weights`: name → tensor, matrices as (outputs, inputs)."""

    weights: Tensors
    parts: tuple[Part, ...]
    layers: int
    width: int


def load(data: bytes, device: str) -> Whisper:
    """The model from the bytes of its model.bin. Raises ModelError where they have another layout."""
    held = variables(data)
    weights = {n: torch.tensor(h.read(data), device=device) for n, h in held.items() if h.kind in ("<f2", "<f4")}
    layers = sum(n.startswith("decoder/layer_") and n.endswith("/ffn/linear_0/weight") for n in held)
    width = held["decoder/embeddings/weight"].shape[1]
    parts = tuple(p for side in (SOUND, "decoder/") for layer in range(layers)
                  for p in _parts(f"{side}layer_{layer}/", held, width))
    return Whisper(weights, parts, layers, width)


def _parts(at: str, held: dict[str, Held], width: int) -> list[Part]:
    """What is changed in one layer: all but the query and key of the attention to the sound, which tell word times."""
    out = []
    across = () if at.startswith(SOUND) else (("attention/linear_1", width), ("attention/linear_2", 0))
    for name, first in (("self_attention/linear_0", 0), ("self_attention/linear_1", 0), *across,
                        ("ffn/linear_0", 0), ("ffn/linear_1", 0)):
        place = held[f"{at}{name}/weight"]
        rows, columns = place.shape
        out.append(Part(at + name, first, rows - first, columns, place.at + 2 * first * columns))
    return out


def thin(model: Whisper, ranks: tuple[int, int], generator: torch.Generator) -> Tensors:
    """Thin matrices KEY.down (rank, inputs), drawn at random, and KEY.up (outputs, rank), zero: no change yet.
    ranks: of the encoder's and of the decoder's."""
    out = {}
    for part in model.parts:
        rank = ranks[not part.name.startswith(SOUND)]
        if not rank:
            continue
        device = model.weights[part.name + "/weight"].device
        drawn = torch.randn(rank, part.columns, generator=generator) / math.sqrt(part.columns)
        out[part.key + ".down"] = drawn.to(device).requires_grad_()
        out[part.key + ".up"] = torch.zeros(part.rows, rank, device=device).requires_grad_()
    return out


def features(sound: torch.Tensor, lengths: torch.Tensor, filters: torch.Tensor, frames: int) -> torch.Tensor:
    """(windows, MELS, frames) features. sound: (windows, samples) with zeros after each one's length, in samples."""
    padded = functional.pad(sound, (0, STEP))
    window = torch.hann_window(WINDOW, device=sound.device)
    power = torch.stft(padded, WINDOW, STEP, window=window, return_complex=True)[..., :-1].abs() ** 2
    bands = torch.log10((filters @ power).clamp(min=1e-10))
    count = lengths // STEP  # As many as faster-whisper makes of the window alone, the last one left out.
    inside = torch.arange(bands.shape[-1], device=sound.device)[None] < count[:, None]
    top = bands.masked_fill(~inside[:, None], -10.0).amax((1, 2), keepdim=True)
    bands = (torch.maximum(bands, top - 8.0) + 4.0) / 4.0
    bands = bands.masked_fill(~inside[:, None], 0.0)
    return functional.pad(bands, (0, max(0, frames - bands.shape[-1])))[..., :frames]


def mel_filters() -> np.ndarray:
    """(MELS, 201) triangles on Slaney's scale, as librosa and Whisper have them."""
    low = np.arange(0, 15) * 200 / 3
    tops = np.linspace(0, 15 + 27 * np.log(8) / np.log(6.4), MELS + 2)
    edges = np.where(tops < len(low), tops * 200 / 3, 1000 * np.exp((tops - 15) * np.log(6.4) / 27))
    pitch = np.fft.rfftfreq(WINDOW, 1 / 16_000)
    rise = (pitch[None] - edges[:-2, None]) / np.diff(edges)[:-1, None]
    fall = (edges[2:, None] - pitch[None]) / np.diff(edges)[1:, None]
    out = np.maximum(0, np.minimum(rise, fall)) * (2 / (edges[2:] - edges[:-2]))[:, None]
    return np.asarray(out, np.float32)


def _norm(model: Whisper, x: torch.Tensor, name: str) -> torch.Tensor:
    w = model.weights
    return functional.layer_norm(x, (model.width,), w[name + "/gamma"], w[name + "/beta"], 1e-5)


def _linear(model: Whisper, x: torch.Tensor, name: str, changes: Tensors | None, dropout: float = 0.0) -> torch.Tensor:
    y = functional.linear(x, model.weights[name + "/weight"], model.weights[name + "/bias"])
    if not changes or name + ".down" not in changes:
        return y
    down, up = changes[name + ".down"], changes[name + ".up"]
    more = functional.linear(functional.linear(functional.dropout(x, dropout, dropout > 0), down), up)
    return y + functional.pad(more, (y.shape[-1] - more.shape[-1], 0))


def _attend(q: torch.Tensor, k: torch.Tensor, v: torch.Tensor, causal: bool = False) -> torch.Tensor:
    def heads(x: torch.Tensor) -> torch.Tensor:
        return x.view(*x.shape[:2], -1, HEAD).transpose(1, 2)

    out = functional.scaled_dot_product_attention(heads(q), heads(k), heads(v), is_causal=causal)
    return out.transpose(1, 2).reshape(q.shape)


def encode(
    model: Whisper, bands: torch.Tensor, changes: Tensors | None = None, dropout: float = 0.0
) -> torch.Tensor:
    """(windows, frames / 2, width) of features."""
    w = model.weights
    h = functional.gelu(functional.conv1d(bands, w["encoder/conv1/weight"], w["encoder/conv1/bias"], padding=1))
    h = functional.gelu(functional.conv1d(h, w["encoder/conv2/weight"], w["encoder/conv2/bias"], padding=1, stride=2))
    h = h.transpose(1, 2)
    h = h + w["encoder/position_encodings/encodings"][: h.shape[1]]
    for layer in range(model.layers):
        at = f"encoder/layer_{layer}/"
        x = _norm(model, h, at + "self_attention/layer_norm")
        q, k, v = _linear(model, x, at + "self_attention/linear_0", changes, dropout).chunk(3, -1)
        h = h + _linear(model, _attend(q, k, v), at + "self_attention/linear_1", changes, dropout)
        x = _norm(model, h, at + "ffn/layer_norm")
        x = functional.gelu(_linear(model, x, at + "ffn/linear_0", changes, dropout))
        h = h + _linear(model, x, at + "ffn/linear_1", changes, dropout)
    return _norm(model, h, "encoder/layer_norm")


def decode(
    model: Whisper, changes: Tensors | None, sound: torch.Tensor, pieces: torch.Tensor, dropout: float = 0.0
) -> torch.Tensor:
    """(windows, pieces, width) last states of the decoder; `odds` makes them logits. sound: what `encode` gave."""
    w = model.weights
    h = w["decoder/embeddings/weight"][pieces] + w["decoder/position_encodings/encodings"][: pieces.shape[1]]
    for layer in range(model.layers):
        at = f"decoder/layer_{layer}/"

        def linear(x: torch.Tensor, name: str, at: str = at) -> torch.Tensor:
            return _linear(model, x, at + name, changes, dropout)

        x = _norm(model, h, at + "self_attention/layer_norm")
        q, k, v = linear(x, "self_attention/linear_0").chunk(3, -1)
        h = h + linear(_attend(q, k, v, causal=True), "self_attention/linear_1")
        q = linear(_norm(model, h, at + "attention/layer_norm"), "attention/linear_0")
        k, v = linear(sound, "attention/linear_1").chunk(2, -1)
        h = h + linear(_attend(q, k, v), "attention/linear_2")
        x = functional.gelu(linear(_norm(model, h, at + "ffn/layer_norm"), "ffn/linear_0"))
        h = h + linear(x, "ffn/linear_1")
    return _norm(model, h, "decoder/layer_norm")


def odds(model: Whisper, states: torch.Tensor) -> torch.Tensor:
    """Logits of every piece."""
    return functional.linear(states, model.weights["decoder/embeddings/weight"])


def written(
    model: Whisper, changes: Tensors | None, sound: torch.Tensor, prefix: torch.Tensor, most: int = 200
) -> list[list[int]]:
    """The likeliest pieces one after another, until the end of each window. prefix: (windows, pieces) alike."""
    pieces = prefix
    done = torch.zeros(len(pieces), dtype=torch.bool, device=pieces.device)
    for _ in range(most):
        row = odds(model, decode(model, changes, sound, pieces)[:, -1])
        row[:, EOT + 1 :] = -torch.inf
        best = torch.where(done, EOT, row.argmax(-1))
        pieces = torch.cat([pieces, best[:, None]], 1)
        done = done | (best == EOT)
        if bool(done.all()):
            break
    return [[int(i) for i in row if i < EOT] for row in pieces[:, prefix.shape[1] :].tolist()]
