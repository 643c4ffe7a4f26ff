"""The pieces of words that English needs, for a model that knows a hundred languages.

At every step Whisper's decoder weighs each piece that it knows, and of the multilingual models' 51,865 more than a
third are of other writings, or of other languages' words. Where English alone is spoken a copy of the model is loaded
without them: the rows of their embeddings are left out of model.bin, and the rest is numbered anew. What any piece that
is left weighs stays as it was, and all 256 bytes are left, so that every text can still be written.
"""

from __future__ import annotations

import json
import mmap
import os
import struct
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from voicedraft.errors import ModelError
from voicedraft.hear.model_file import variables
from voicedraft.models import file_digest
from voicedraft.weight_file import arrays_of, fingerprint_of, named, put, put_array

FILE = Path(__file__).resolve().parent / "weights" / "vocabulary.npz"
VOCABULARY = "vocabulary.txt"
MOST_BYTES = 1 << 30
"""A larger model is loaded as it came: its copy takes room and time, and the vocabulary a small part of its work."""
_NUMBERED = ("lang_ids", "suppress_ids", "suppress_ids_begin")
"""Lists of pieces in config.json, by CTranslate2's converter for Whisper."""


@dataclass(frozen=True, eq=False)
class English:
    """What is left of the vocabulary.txt with that SHA-256. `kept`: (n,) line numbers from 0, increasing; `whole`: how
    many lines it has."""

    made_for: str
    whole: int
    kept: npt.NDArray[np.int64]

    def put_into(self, folder: Path) -> None:
        """Leave all else out of a copied model: its model.bin, vocabulary.txt, config.json and tokenizer.json.

        Raises ModelError where model.bin has another layout.
        """
        new = {int(old): at for at, old in enumerate(self.kept)}
        lines = (folder / VOCABULARY).read_text(encoding="utf-8").split("\n")
        _write(folder / VOCABULARY, "".join(f"{lines[i]}\n" for i in self.kept))
        config = json.loads((folder / "config.json").read_text(encoding="utf-8"))
        config |= {key: [new[i] for i in config[key] if i in new] for key in _NUMBERED if key in config}
        _write(folder / "config.json", json.dumps(config))
        tokenizer = json.loads((folder / "tokenizer.json").read_text(encoding="utf-8"))
        _write(folder / "tokenizer.json", json.dumps(_renumbered(tokenizer, new), ensure_ascii=False))
        self._leave_out_rows(folder / "model.bin")

    def _leave_out_rows(self, model: Path) -> None:
        with model.open("r+b") as file, mmap.mmap(file.fileno(), 0) as data:
            read = write = 0
            for held in variables(data).values():
                if held.shape[:1] != (self.whole,):
                    continue
                shape_at = held.at - 5 - 4 * len(held.shape)  # Then come a byte for the type, the size, the numbers.
                data.move(write, read, shape_at - read)
                write += shape_at - read
                rows = np.frombuffer(data[held.at : held.at + held.size], np.uint8).reshape(self.whole, -1)
                numbers, shape = rows[self.kept], (len(self.kept), *held.shape[1:])
                head = struct.pack(f"<{len(shape)}IBI", *shape, data[held.at - 5], numbers.size)
                data[write : write + len(head) + numbers.size] = head + numbers.tobytes()
                write += len(head) + numbers.size
                read = held.at + held.size
            rest = len(data) - read
            data.move(write, read, rest)
        os.truncate(model, write + rest)


def merged(merges: Iterable[str | Sequence[str]]) -> Iterator[tuple[str, str]]:
    """The two pieces of each merge of a tokenizer.json, which writes them as "a b" or as a pair."""
    for merge in merges:
        first, second = merge.split(" ") if isinstance(merge, str) else merge
        yield first, second


def _renumbered(tokenizer: dict[str, Any], new: Mapping[int, int]) -> dict[str, Any]:
    """tokenizer.json with the pieces of `new` alone, and the merges that make them."""
    model = tokenizer["model"]
    model["vocab"] = {piece: new[i] for piece, i in model["vocab"].items() if i in new}
    pairs = zip(model["merges"], merged(model["merges"]), strict=True)
    model["merges"] = [merge for merge, (a, b) in pairs if {a, b, a + b} <= model["vocab"].keys()]
    tokenizer["added_tokens"] = [t | {"id": new[t["id"]]} for t in tokenizer["added_tokens"] if t["id"] in new]
    return tokenizer


def _write(file: Path, text: str) -> None:
    """In place of a link, not through it."""
    file.unlink()
    file.write_text(text, encoding="utf-8")


def save(english: English, file: Path) -> None:
    """Write which lines are left; equal choices give equal bytes."""
    marks = np.zeros(english.whole, bool)
    marks[english.kept] = True
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        put(archive, "made_for", english.made_for.encode())
        put_array(archive, "whole", np.array([english.whole], np.int64))
        put_array(archive, "kept", np.packbits(marks))


def load(file: Path) -> English:
    """Read which lines are left. Raises ModelError naming the file where it is missing or broken."""
    with named("vocabulary", file), zipfile.ZipFile(file) as archive:
        arrays = arrays_of(archive)
        whole = int(arrays["whole"][0])
        kept = np.flatnonzero(np.unpackbits(arrays["kept"], count=whole))
        return English(archive.read("made_for").decode(), whole, kept)


@lru_cache(maxsize=1)
def shipped() -> English:
    """The shipped choice, read once."""
    return load(FILE)


def for_model(folder: Path) -> English | None:
    """The shipped choice where the folder's model has the vocabulary that it was made for, a layout that is known, and
    no more than MOST_BYTES; else None."""
    files = [folder / name for name in (VOCABULARY, "config.json", "tokenizer.json", "model.bin")]
    if not all(f.is_file() for f in files) or (folder / "vocabulary.json").exists():
        return None
    if files[-1].stat().st_size > MOST_BYTES or file_digest(files[0]) != shipped().made_for:
        return None
    try:
        with files[-1].open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as data:
            variables(data)
    except (ModelError, OSError, ValueError):
        return None
    return shipped()


def fingerprint() -> str:
    """Eight hexadecimal digits that change when the choice does. Raises ModelError where the file is missing."""
    return fingerprint_of("vocabulary", FILE, 8)
