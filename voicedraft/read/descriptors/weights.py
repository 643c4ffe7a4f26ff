"""The learned part: a linear tagger and three linear classifiers, kept in one compact file."""

from __future__ import annotations

import io
import json
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from voicedraft.weight_file import FOLDER, named

Floats = npt.NDArray[np.float32]
_MAGIC = b"VDD1"
FILE = FOLDER / "descriptors.bin"


@dataclass(frozen=True)
class Linear:
    """A softmax over `labels`: one row of `sparse` a feature name, one row of `dense` a vector component."""

    labels: tuple[str, ...]
    names: Mapping[str, int]
    sparse: Floats
    dense: Floats
    bias: Floats

    def logits(self, features: Sequence[Sequence[str]], dense: Floats | None = None) -> Floats:
        """(n, labels) of raw scores; names never seen in training weigh nothing."""
        out = np.tile(self.bias, (len(features), 1)).astype(np.float32)
        if dense is not None and self.dense.size and len(features):
            out += dense @ self.dense
        flat: list[int] = []
        starts: list[int] = []
        filled: list[int] = []
        get = self.names.get
        for i, found in enumerate(features):
            rows = [k for k in map(get, found) if k is not None]
            if rows:
                starts.append(len(flat))
                filled.append(i)
                flat += rows
        if flat:
            out[filled] += np.add.reduceat(self.sparse[flat], starts, axis=0)
        return out

    def log_probabilities(self, features: Sequence[Sequence[str]], dense: Floats | None = None) -> Floats:
        """(n, labels), natural logarithms."""
        raw = self.logits(features, dense)
        if not len(raw):
            return raw
        raw -= raw.max(axis=1, keepdims=True)
        scores: Floats = (raw - np.log(np.exp(raw).sum(axis=1, keepdims=True))).astype(np.float32)
        return scores


@dataclass(frozen=True)
class DescriptorWeights:
    """Everything learned. `projection`: (384, k) for the tagger's token vectors."""

    projection: Floats
    tagger: Linear
    status: Linear
    """none, present, fading, gone, absent."""
    intensity: Linear
    place: Linear
    threshold: float
    """Least probability of being an entry at all."""
    tag_bias: float


_PARTS = ("tagger", "status", "intensity", "place")


def dump(weights: DescriptorWeights) -> bytes:
    """The file's bytes: the same weights give the same bytes."""
    head: dict[str, object] = {"threshold": weights.threshold, "tag_bias": weights.tag_bias, "parts": {}}
    arrays: list[npt.NDArray[np.float16]] = [weights.projection.astype(np.float16)]
    parts: dict[str, object] = {}
    for name in _PARTS:
        part: Linear = getattr(weights, name)
        order = sorted(part.names, key=lambda n: part.names[n])
        parts[name] = {"labels": list(part.labels), "names": order, "dense": list(part.dense.shape)}
        arrays += [part.sparse.astype(np.float16), part.dense.astype(np.float16), part.bias.astype(np.float16)]
    head["parts"] = parts
    head["projection"] = list(weights.projection.shape)
    text = json.dumps(head, ensure_ascii=False, separators=(",", ":")).encode()
    body = io.BytesIO()
    body.write(len(text).to_bytes(4, "little"))
    body.write(text)
    for array in arrays:
        body.write(np.ascontiguousarray(array, dtype="<f2").tobytes())
    return _MAGIC + zlib.compress(body.getvalue(), 9)


def parse(data: bytes) -> DescriptorWeights:
    """The weights of `dump`'s bytes. Raises ValueError where they are something else."""
    if data[:4] != _MAGIC:
        raise ValueError("not a file of descriptor weights")
    body = zlib.decompress(data[4:])
    size = int.from_bytes(body[:4], "little")
    head = json.loads(body[4 : 4 + size])
    at = 4 + size

    def take(shape: Sequence[int]) -> Floats:
        nonlocal at
        count = int(np.prod(shape))
        array = np.frombuffer(body, dtype="<f2", count=count, offset=at).reshape(shape).astype(np.float32)
        at += 2 * count
        return array

    projection = take(head["projection"])
    parts: dict[str, Linear] = {}
    for name in _PARTS:
        spec = head["parts"][name]
        labels = tuple(spec["labels"])
        sparse = take((len(spec["names"]), len(labels)))
        dense = take(spec["dense"])
        bias = take((len(labels),))
        parts[name] = Linear(labels, {n: i for i, n in enumerate(spec["names"])}, sparse, dense, bias)
    return DescriptorWeights(projection=projection, threshold=head["threshold"], tag_bias=head["tag_bias"], **parts)


@lru_cache(maxsize=1)
def shipped() -> DescriptorWeights:
    """The weights that come with the program. Raises ModelError where the file is missing or broken."""
    with named("descriptors", FILE):
        return parse(FILE.read_bytes())
