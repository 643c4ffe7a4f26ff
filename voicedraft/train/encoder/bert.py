"""The sentence encoder in PyTorch, from its ONNX file: forward pass and the thin matrices that are learned.

Written out so that every operation has a deterministic backward pass on an accelerator too. Architecture: BERT (Devlin
et al. 2018) with 6 layers, 384 wide, 12 heads; the file is all-MiniLM-L6-v2 with int8 weights by column.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import torch
from torch.nn import functional

WIDTH, HEADS, LAYERS = 384, 12, 6
EPSILON = 1e-12
"""Of the layer normalisation (the model's own configuration)."""
TUNED = ("attention.self.query", "attention.self.value", "attention.output.dense", "intermediate.dense", "output.dense")
Tensors = dict[str, torch.Tensor]


@dataclass(frozen=True)
class Place:
    """Byte offsets of one matrix's int8 steps and of its column scales in the model file."""

    at: int
    scale_at: int


@dataclass(frozen=True)
class Bert:
    """`weights`: name → tensor, matrices as (inputs, outputs). `places`: where the tuned matrices lie in the file."""

    weights: Tensors
    places: dict[str, Place]
    size: int


def load(file: Path, device: str) -> Bert:
    """Weights of the model file, its int8 steps multiplied out."""
    import onnx
    from onnx import numpy_helper

    raw = file.read_bytes()
    graph = onnx.load_from_string(raw).graph
    held = {i.name: numpy_helper.to_array(i) for i in graph.initializer}
    made_by = {out: node for node in graph.node for out in node.output}
    weights: dict[str, Any] = {
        name.removeprefix("inner."): array for name, array in held.items()
        if name.startswith("inner.") and array.dtype == np.float32 and not name.endswith("_scale")
    }
    for kind in ("word", "position"):
        name = f"embeddings.{kind}_embeddings.weight"
        weights[name] = held[f"inner.{name}_q"].astype(np.float32) * held[f"inner.{name}_scale"]
    places = {}
    of_output = {n.output[0]: _int8_of(n.input[1], made_by, held) for n in graph.node if n.op_type == "MatMul"}
    for node in graph.node:
        for product, bias in (node.input[:2], node.input[1::-1]) if node.op_type == "Add" else ():
            stem = of_output.get(product)
            if stem and bias.endswith(".bias"):
                name = bias.removeprefix("inner.").removesuffix(".bias")
                steps, scale = held[stem + "_q"], held[stem + "_scale"]
                weights[name + ".weight"] = steps.astype(np.float32) * scale
                places[name] = Place(raw.index(steps.tobytes()), raw.index(scale.tobytes()))
    return Bert({k: torch.tensor(np.array(v), device=device) for k, v in weights.items()}, places, len(raw))


def _int8_of(name: str, made_by: dict[str, Any], held: dict[str, Any]) -> str | None:
    """Stem of the initialisers NAME_q and NAME_scale that are multiplied into a matrix, or None."""
    node = made_by.get(name)
    if node is None or node.op_type != "Mul":
        return None
    for part in node.input:
        if part.endswith("_scale") and part.removesuffix("_scale") + "_q" in held:
            return str(part.removesuffix("_scale"))
    return None


def thin(bert: Bert, rank: int, generator: torch.Generator) -> Tensors:
    """Thin matrices NAME.down (inputs, rank), drawn at random, and NAME.up (rank, outputs), zero: no change yet."""
    out = {}
    for layer in range(LAYERS):
        for part in TUNED:
            name = f"encoder.layer.{layer}.{part}"
            inputs, outputs = bert.weights[name + ".weight"].shape
            drawn = torch.randn(inputs, rank, generator=generator) / math.sqrt(inputs)
            device = bert.weights[name + ".weight"].device
            out[name + ".down"] = drawn.to(device).requires_grad_()
            out[name + ".up"] = torch.zeros(rank, outputs, device=device).requires_grad_()
    return out


def hidden(bert: Bert, changes: Tensors, ids: torch.Tensor, mask: torch.Tensor, dropout: float) -> torch.Tensor:
    """(texts, pieces, 384) last hidden states. ids, mask: (texts, pieces). dropout: 0 outside learning."""
    w = bert.weights
    texts, pieces = ids.shape

    def linear(x: torch.Tensor, name: str) -> torch.Tensor:
        y = x @ w[name + ".weight"] + w[name + ".bias"]
        return y + (x @ changes[name + ".down"]) @ changes[name + ".up"] if name + ".down" in changes else y

    def normal(x: torch.Tensor, name: str) -> torch.Tensor:
        return functional.layer_norm(x, (WIDTH,), w[name + ".weight"], w[name + ".bias"], EPSILON)

    def dropped(x: torch.Tensor) -> torch.Tensor:
        return functional.dropout(x, dropout, dropout > 0)

    h = w["embeddings.word_embeddings.weight"][ids] + w["embeddings.position_embeddings.weight"][:pieces]
    h = dropped(normal(h + w["embeddings.token_type_embeddings.weight"][0], "embeddings.LayerNorm"))
    closed = torch.where(mask[:, None, None, :].bool(), 0.0, -1e9)
    for layer in range(LAYERS):
        at = f"encoder.layer.{layer}."
        query, key, value = (
            linear(h, at + "attention.self." + n).view(texts, pieces, HEADS, WIDTH // HEADS).transpose(1, 2)
            for n in ("query", "key", "value")
        )
        heed = torch.softmax(query @ key.transpose(2, 3) / math.sqrt(WIDTH // HEADS) + closed, dim=-1)
        mixed = (dropped(heed) @ value).transpose(1, 2).reshape(texts, pieces, WIDTH)
        h = normal(h + dropped(linear(mixed, at + "attention.output.dense")), at + "attention.output.LayerNorm")
        wide = functional.gelu(linear(h, at + "intermediate.dense"))
        h = normal(h + dropped(linear(wide, at + "output.dense")), at + "output.LayerNorm")
    return h
