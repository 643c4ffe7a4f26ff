"""The user's folder of learned things: one file of lessons a corrected draft, and what the user chose to forget.

    FOLDER/own/NAME.toml        written by the user, of the shapes of the shipped lexicon
    FOLDER/learned/KEY.json     the lessons of one draft
    FOLDER/learned/forgotten.json  ids of events that shall teach nothing
    FOLDER/NAME.toml            the layer that reading uses, made from the above
"""

from __future__ import annotations

import hashlib
import io
import json
import lzma
import re
import struct
import zipfile
import zlib
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from voicedraft.correct.learning.lessons import Lesson, SessionLessons, lessons_of
from voicedraft.correct.session import Session
from voicedraft.draft.write import write_text
from voicedraft.errors import InputError, LexiconError
from voicedraft.lexicon import check_shape
from voicedraft.paths import user_lexicon

FORGOTTEN = "forgotten.json"
LARGEST = 50 * 1024 * 1024
"""Bytes of an import; years of corrected sessions are far smaller."""
ENCRYPTED = 0x1
"""Bit 0 of a member's flags (APPNOTE.TXT 4.4.4)."""
DAMAGES = (zipfile.BadZipFile, zlib.error, lzma.LZMAError, OSError, UnicodeDecodeError, EOFError, NotImplementedError,
           RuntimeError, ValueError, struct.error)
"""What Python's zipfile raises on archives that are none, are cut off or were changed."""
_MEMBER = re.compile(r"(own/[a-z_]+(\.[\w-]+)?\.toml|learned/[0-9a-f]{24}\.json|learned/forgotten\.json)")


class Store:
    """The folder; by default the user's own."""

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or user_lexicon()
        self.own = self.folder / "own"
        self.learned = self.folder / "learned"

    def forgotten(self) -> frozenset[str]:
        """Ids of events that shall teach nothing."""
        path = self.learned / FORGOTTEN
        try:
            return frozenset(str(x) for x in json.loads(path.read_text(encoding="utf-8")))
        except FileNotFoundError:
            return frozenset()
        except (OSError, ValueError, TypeError) as error:
            raise LexiconError(f"{path} cannot be read ({error}). Take it away to learn from all again.") from error

    def sessions(self) -> list[SessionLessons]:
        """The lessons of every draft, in a fixed order. Raises LexiconError naming a file that is malformed."""
        return [self._read(p) for p in sorted(self.learned.glob("*.json")) if p.name != FORGOTTEN]

    @staticmethod
    def _read(path: Path) -> SessionLessons:
        try:
            return SessionLessons.model_validate_json(path.read_bytes())
        except (OSError, ValidationError) as error:
            raise LexiconError(f"{path} is no file of lessons. Take it away, or correct that draft again.") from error

    def lessons(self) -> list[tuple[SessionLessons, Lesson]]:
        """Every lesson that counts, with the draft it came from."""
        forgotten = self.forgotten()
        return [(s, x) for s in self.sessions() for x in s.lessons if x.event not in forgotten]

    def put(self, lessons: SessionLessons) -> bool:
        """Keeps the lessons of a draft; without any, its file is taken away. True where that changed something."""
        path = self.learned / f"{lessons.session}.json"
        before = path.read_bytes() if path.exists() else None
        if not lessons.lessons and not lessons.sentences:
            path.unlink(missing_ok=True)
            return before is not None
        text = lessons.model_dump_json() + "\n"
        if text.encode() != before:
            write_text(path, text)
        return text.encode() != before

    def forget(self, events: frozenset[str]) -> None:
        """These events teach nothing from now on. The corrections themselves stay."""
        names = sorted(self.forgotten() | events)
        write_text(self.learned / FORGOTTEN, json.dumps(names, indent=0) + "\n")

    def forget_everything(self) -> int:
        """Takes every lesson away; what the user wrote in own/ stays. Gives the number of drafts that had taught."""
        paths = [p for p in self.learned.glob("*.json") if p.name != FORGOTTEN]
        for path in [*paths, self.learned / FORGOTTEN]:
            path.unlink(missing_ok=True)
        return len(paths)

    def export(self) -> bytes:
        """Everything learned and written, as a zip archive; the same things give the same bytes."""
        buffer = io.BytesIO()
        with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in sorted([*self.own.glob("*.toml"), *self.learned.glob("*.json")]):
                name = f"{path.parent.name}/{path.name}"
                if _MEMBER.fullmatch(name):
                    archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), path.read_bytes())
        return buffer.getvalue()

    def import_(self, data: bytes) -> tuple[int, int]:
        """Adds an export's lessons and words to what is there. Gives (drafts, files of words) added.

        Nothing is replaced: words of a file that exists already go to a second file beside it. Raises InputError where
        the archive is none of ours; nothing is written then.
        """
        members = _members(data)
        for name, text in members.items():
            _check(name, text)
        drafts = words = 0
        lost = members.pop(f"learned/{FORGOTTEN}", None)
        if lost is not None:
            self.forget(frozenset(json.loads(lost)))
        for name, text in members.items():
            path = self.folder / name
            if name.startswith("own/") and path.exists():
                path = path.with_name(f"{path.name.split('.')[0]}.{hashlib.sha256(text.encode()).hexdigest()[:8]}.toml")
            if path.exists() or self._has(path, text):
                continue
            write_text(path, text)
            drafts, words = drafts + name.startswith("learned/"), words + name.startswith("own/")
        return drafts, words

    @staticmethod
    def _has(path: Path, text: str) -> bool:
        stem = path.name.split(".")[0]
        return any(p.read_bytes() == text.encode() for p in path.parent.glob(f"{stem}*.toml"))


def _members(data: bytes) -> dict[str, str]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            infos = archive.infolist()
            wrong = next((i.filename for i in infos if not _MEMBER.fullmatch(i.filename)), None)
            if wrong is not None or sum(i.file_size for i in infos) > LARGEST:
                raise InputError(f"The file is no export of a lexicon: it holds {wrong or 'too much'}.")
            if any(i.flag_bits & ENCRYPTED for i in infos):
                raise InputError("The file is locked with a password. Give an export as voicedraft lexicon export "
                                 "made it.")
            return {i.filename: archive.read(i).decode("utf-8") for i in infos}
    except DAMAGES as error:
        raise InputError("The file is no export of a lexicon, or is damaged. Make one: voicedraft lexicon export "
                         "FILE.") from error


def _check(name: str, text: str) -> None:
    import tomllib

    try:
        if name.startswith("own/"):
            check_shape(name.removeprefix("own/"), tomllib.loads(text))
        elif name.endswith(FORGOTTEN):
            TypeAdapter(list[str]).validate_json(text)
        else:
            SessionLessons.model_validate_json(text)
    except LexiconError as error:
        raise InputError(f"The export does not fit: {error}") from error
    except (tomllib.TOMLDecodeError, ValidationError, RecursionError) as error:
        raise InputError(f"The export is damaged: {name} cannot be read.") from error


def session_key(session: Session) -> str:
    """Names a draft by its recordings, so that a moved folder or a better transcript is the same draft."""
    digests = [t.digest for t in session.review.takes if t.digest]
    told = "\n".join(digests) if digests else str(session.directory.resolve())
    return hashlib.sha256(told.encode()).hexdigest()[:24]


def learn(session: Session, store: Store | None = None) -> SessionLessons:
    """Learns from a draft as corrected so far: keeps its lessons and makes the layer anew.

    Raises OutputError where the user's folder cannot be written, LexiconError where it holds something malformed.
    """
    from voicedraft.correct.learning.layer import build

    store = store or Store()
    lessons = lessons_of(session, session_key(session), store.forgotten())
    if store.put(lessons):
        build(store)
    return lessons
