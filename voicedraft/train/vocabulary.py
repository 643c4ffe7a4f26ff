"""Chooses the pieces of words that English needs: `python -m voicedraft.train vocabulary`.

A piece of the multilingual Whisper models is kept where the English-only ones have it too (their vocabulary is GPT-2's,
Radford et al. 2019), where an English word that spaCy's small pipeline has seen, a name of the lexicon or a sentence of
the gold sessions is written with it, or where it is a control of the model. With a piece goes all that it is made of.
The same sources give the same bytes.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np
from tokenizers import Tokenizer

from voicedraft.hear.doubt import names_told
from voicedraft.hear.english import FILE, VOCABULARY, English, merged, save
from voicedraft.hear.speech_model import mended_tokenizer
from voicedraft.lexicon import load_lexicon
from voicedraft.models import file_digest, model_path
from voicedraft.train.command import fit_and_save

_PLAIN = re.compile(r"[\x21-\x7eĠĊ]+")
"""Printed ASCII, a blank and a new line, as GPT-2's byte alphabet writes them."""
_WORD = re.compile(r"[A-Za-zÀ-ÿ'’-]+")
_SIGNS = "\"#()*+/:;<=>@[\\]^_`{|}~「」『』♩♪♫♬♭♮♯£€$¢½¼¾⅓⅔°×·–—…“”‘’«»•%&§"
"""Signs that faster-whisper suppresses, which must stay to be suppressed, and those that English print has."""
_MOMENT = re.compile(r"<\|\d+\.\d+\|>")
"""Times that the model can write among its words; voicedraft reads them off the attention instead."""


def choose(golds: Sequence[dict[str, Any]]) -> English:
    """The choice for the vocabulary of base."""
    folder = model_path("base")
    pieces = (folder / VOCABULARY).read_text(encoding="utf-8").rstrip("\n").split("\n")
    held = json.loads(mended_tokenizer(folder) or (folder / "tokenizer.json").read_bytes())
    numbers = held["model"]["vocab"]
    english = set((model_path("tiny.en") / VOCABULARY).read_text(encoding="utf-8").split("\n"))
    kept = {i for piece, i in numbers.items() if piece in english and _PLAIN.fullmatch(piece)}
    kept |= {i for piece, i in numbers.items() if len(piece) == 1}
    end = numbers["<|endoftext|>"]
    kept |= {i for i in range(end, len(pieces)) if not _MOMENT.fullmatch(pieces[i])}
    tokenizer = Tokenizer.from_str(json.dumps(held))
    for encoding in tokenizer.encode_batch(list(_texts(golds)), add_special_tokens=False):
        kept.update(encoding.ids)
    _with_parts(kept, held["model"]["merges"], numbers)
    return English(file_digest(folder / VOCABULARY), len(pieces), np.array(sorted(kept), np.int64))


def _texts(golds: Sequence[dict[str, Any]]) -> Iterator[str]:
    """Words and names as they stand in a sentence and at its beginning, sentences, signs."""
    strings = json.loads((model_path("en-core-web-sm") / "vocab" / "strings.json").read_text(encoding="utf-8"))
    words = [w for w in strings if _WORD.fullmatch(w)]
    for name in (*words, *names_told(load_lexicon()), *_SIGNS):
        yield from (name, f" {name}", f" {name[:1].upper()}{name[1:]}")
    for gold in golds:
        yield from (f" {sentence['t']}" for take in gold["takes"] for sentence in take["sentences"])


def _with_parts(kept: set[int], merges: Sequence[Any], numbers: Mapping[str, int]) -> None:
    """Add every piece that a kept one is merged from."""
    parts = {a + b: (a, b) for a, b in merged(merges)}
    names = {i: piece for piece, i in numbers.items()}
    waiting = list(kept)
    while waiting:
        for part in parts.get(names.get(waiting.pop(), ""), ()):
            if numbers[part] not in kept:
                kept.add(numbers[part])
                waiting.append(numbers[part])


def _make(golds: Sequence[dict[str, Any]], file: Path) -> None:
    save(choose(golds), file)


def main(arguments: Sequence[str] | None = None) -> int:
    """Choose and save. Raises InputError as `fit_and_save`."""
    return fit_and_save("vocabulary", _make, FILE, arguments)


if __name__ == "__main__":
    raise SystemExit(main())
