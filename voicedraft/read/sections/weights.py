"""The learned weights of the sections: what they are, and reading and writing them as one small file."""

from __future__ import annotations

import json
import zipfile
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from typing import cast

import numpy as np

from voicedraft.read.in_use import InUse
from voicedraft.read.sections.labels import PHASES, TOPICS, Floats, topic_of
from voicedraft.types import Section, Stage
from voicedraft.weight_file import FOLDER, arrays_of, named, put, put_array

FILE = FOLDER / "sections.npz"


@dataclass(frozen=True, eq=False)
class Near:
    """Annotated sentences, whose votes count and which are shown beside a passage.

    `vectors`: (sentences, d) int8 after `projection` (384, d). `labels[i]`: "section" or "section, stage".
    """

    texts: tuple[str, ...]
    labels: tuple[str, ...]
    vectors: np.ndarray[tuple[int, int], np.dtype[np.int8]]
    projection: Floats

    @cached_property
    def directions(self) -> Floats:
        """(sentences, d) the vectors brought to length 1."""
        return _unit(self.vectors.astype(np.float64))

    @cached_property
    def targets(self) -> Floats:
        """(sentences, topics + phases) ones for what each is annotated as; none of the phases where it has no stage."""
        kinds = {label: n for n, label in enumerate(dict.fromkeys(self.labels))}
        of_kind = np.zeros((len(kinds), len(TOPICS) + len(PHASES)))
        for row, label in zip(of_kind, kinds, strict=True):
            section, _, stage = label.partition(", ")
            row[topic_of(cast(Section, section))] = 1
            if stage:
                row[len(TOPICS) + PHASES.index(cast(Stage, stage))] = 1
        rows: Floats = of_kind[[kinds[label] for label in self.labels]]
        return rows

    def likeness(self, vectors: Floats) -> Floats:
        """(n, sentences) cosines of sentence vectors (n, 384) with the annotated ones."""
        result: Floats = _unit(vectors @ self.projection) @ self.directions.T
        return result


def _unit(rows: Floats) -> Floats:
    result: Floats = rows / np.maximum(np.linalg.norm(rows, axis=1, keepdims=True), 1e-9)
    return result


@dataclass(frozen=True, eq=False)
class Chain:
    """One chain. `topic`, `phase`: (features, topics) and (features, phases). `topic_moves`: (kinds, topics, topics),
    `phase_moves`: (kinds, phases, phases); `topic_start`: (topics,), `phase_start`: (phases,). All are log weights."""

    topic: Floats
    phase: Floats
    topic_moves: Floats
    phase_moves: Floats
    topic_start: Floats
    phase_start: Floats


@dataclass(frozen=True, eq=False)
class SectionWeights:
    """`maps[view]`: (columns, OUT). `words`: word → row of `word_weights` (words, OUT). `chains`: second, third pass.

    `temperature` divides the log-odds of the shown confidence; `look_first` is the confidence under which a passage
    should be looked at first.
    """

    maps: dict[str, Floats]
    words: dict[str, int]
    word_weights: Floats
    chains: tuple[Chain, ...]
    temperature: float
    look_first: float
    near: Near


_ARRAYS = ("topic", "phase", "topic_moves", "phase_moves", "topic_start", "phase_start")


def save(weights: SectionWeights, file: Path) -> None:
    """Write the weights; equal weights give equal bytes (fixed order and dates, float32, words as int8 steps)."""
    step = float(np.abs(weights.word_weights).max()) / 127 or 1.0
    arrays: dict[str, np.ndarray] = {f"map_{k}": v.astype(np.float32) for k, v in sorted(weights.maps.items())}
    for n, chain in enumerate(weights.chains):
        arrays |= {f"chain{n}_{name}": np.asarray(getattr(chain, name), np.float32) for name in _ARRAYS}
    arrays["word_weights"] = np.round(weights.word_weights / step).astype(np.int8)
    arrays["scalars"] = np.array([step, weights.temperature, weights.look_first], np.float64)
    texts = {"words": list(weights.words)}
    arrays["near_vectors"] = weights.near.vectors
    arrays["near_projection"] = weights.near.projection.astype(np.float32)
    texts |= {"near_texts": list(weights.near.texts), "near_labels": list(weights.near.labels)}
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name, array in arrays.items():
            put_array(archive, name, array)
        put(archive, "texts.json", json.dumps(texts, ensure_ascii=False, separators=(",", ":")).encode())


def load(file: Path) -> SectionWeights:
    """Read the weights. Raises ModelError naming the file where it is missing or broken."""
    with named("sections", file), zipfile.ZipFile(file) as archive:
        return _made(arrays_of(archive), json.loads(archive.read("texts.json")))


def _made(arrays: dict[str, np.ndarray], texts: dict[str, list[str]]) -> SectionWeights:
    step, temperature, look_first = (float(x) for x in arrays["scalars"])
    near = Near(tuple(texts["near_texts"]), tuple(texts["near_labels"]), arrays["near_vectors"],
                arrays["near_projection"].astype(np.float64))
    return SectionWeights(
        maps={k[4:]: v.astype(np.float64) for k, v in arrays.items() if k.startswith("map_")},
        words={w: i for i, w in enumerate(texts["words"])},
        word_weights=arrays["word_weights"].astype(np.float64) * step,
        chains=tuple(
            Chain(**{name: arrays[f"chain{n}_{name}"].astype(np.float64) for name in _ARRAYS}) for n in range(2)
        ),
        temperature=temperature, look_first=look_first, near=near,
    )


@lru_cache(maxsize=1)
def shipped() -> SectionWeights:
    """The shipped weights, read once."""
    return load(FILE)


in_use = InUse(shipped)
"""The weights that sections are read with where none are given."""
