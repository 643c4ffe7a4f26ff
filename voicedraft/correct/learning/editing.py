"""The user's own words: a file to begin with, and files read and written with messages that say what to do."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from pathlib import Path

from voicedraft.correct.learning.store import LARGEST, Store
from voicedraft.data import lexicon_dir
from voicedraft.draft.write import write_text
from voicedraft.errors import InputError, LexiconError, OutputError

EXAMPLES = {
    "descriptors": '# [family.wood]\n# terms = [{term = "driftwood", synonyms = ["drift wood"], adjectives = []}]\n',
    "misheard": '# [learned]\n# forms = [{heard = "con dagger", right = "condega", near = ["leaf", "filler"]}]\n',
    "sections": '# [burn]\n# openers = ["how it burns"]\n',
    "pairings": '# [drink]\n# own = ["ginger beer"]\n',
}


def prepare(store: Store, name: str) -> Path:
    """The user's file of that name, made with an example where it is not there. Raises LexiconError on another name."""
    names = sorted(p.stem for p in lexicon_dir().glob("*.toml"))
    if name not in names:
        raise LexiconError(f"The lexicon has no file {name}. Choose one of: {', '.join(names)}.")
    path = store.own / f"{name}.toml"
    if not path.exists():
        heading = "# Your own words, in the shape of the shipped lexicon. Lower case.\n"
        write_text(path, heading + EXAMPLES.get(name, ""))
    return path


def forget_events(store: Store, events: Iterable[str]) -> int:
    """Forgets what these events taught; gives how many. Raises LexiconError where an event taught nothing."""
    known = {x.event for _, x in store.lessons()}
    known |= {e for s in store.sessions() for x in s.sentences for e in x.events}
    wanted = frozenset(events)
    if not wanted:
        raise LexiconError("Name the corrections to forget (“voicedraft lexicon show” lists them), or give --all.")
    unknown = sorted(wanted - known)
    if unknown:
        raise LexiconError(f"No correction {unknown[0]} taught anything. See “voicedraft lexicon show”.")
    store.forget(wanted)
    return len(wanted)


def read_bytes(file: Path) -> bytes:
    """A file's bytes. Raises InputError."""
    try:
        if file.stat().st_size > LARGEST:
            raise InputError(f"{file} is too large for an export of a lexicon.")
        return file.read_bytes()
    except OSError as error:
        raise InputError(f"{file} cannot be read ({error.strerror}). Check the name and try again.") from error


def write_bytes(file: Path, data: bytes) -> None:
    """Replaces a file in one step. Raises OutputError."""
    try:
        with tempfile.NamedTemporaryFile("wb", dir=file.parent, prefix=f".{file.name}-", delete=False) as temporary:
            temporary.write(data)
        os.replace(temporary.name, file)
    except OSError as error:
        raise OutputError(f"{file} cannot be written ({error.strerror}). Choose another place.") from error
