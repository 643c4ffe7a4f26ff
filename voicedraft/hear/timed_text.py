"""Timed transcripts (.vtt, .srt) as a `Transcript`.

The syntax is webvtt-py's business; here cues become words. A cue gives only its own start and end, so words share it
in proportion to their length. A silence of `TAKE_GAP_S` or more between two cues starts a new take.
"""

from __future__ import annotations

import hashlib
import html
import re
from dataclasses import dataclass
from pathlib import Path

import webvtt
from webvtt.errors import MalformedCaptionError, MalformedFileError

from voicedraft.errors import TranscriptError
from voicedraft.types import Take, Transcript, Word

TAKE_GAP_S = 20.0
"""Seconds of silence between cues that part two takes: recorders are stopped (common practice, no source)."""
SUFFIXES = (".vtt", ".srt")

_TAG = re.compile(r"<[^<>]*>")
_ENCODINGS = ("utf-8-sig", "utf-16", "cp1252")


@dataclass(frozen=True, slots=True)
class _Cue:
    start: float
    end: float
    text: str


def read_timed_text(path: Path) -> Transcript:
    """The words of a .vtt or .srt file.

    Raises TranscriptError where the file breaks its syntax, has no words, or times that run backwards.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise TranscriptError(f"{path.name} cannot be read ({error.strerror}). Check the file.") from error
    return parse_timed_text(_decode(path.name, raw), path.name, hashlib.sha256(raw).hexdigest())


def parse_timed_text(text: str, name: str, digest: str = "") -> Transcript:
    """The words of WebVTT or SubRip text; `name` tells which by its ending. Raises as `read_timed_text`."""
    cues = _cues(name, text, Path(name).suffix.lower())
    if not cues:
        raise TranscriptError(f"{name} has no spoken words in it. Give a transcript with at least one cue.")
    return _transcript(cues, name, digest)


def _decode(name: str, raw: bytes) -> str:
    for encoding in _ENCODINGS:
        if encoding == "utf-16" and raw[:2] not in (b"\xff\xfe", b"\xfe\xff"):
            continue
        try:
            return raw.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise TranscriptError(f"{name} is not text. Give a WebVTT or SubRip file in UTF-8.")


def _cues(name: str, text: str, suffix: str) -> list[_Cue]:
    if "\x00" in text:
        raise TranscriptError(f"{name} is not text. Give a WebVTT or SubRip file in UTF-8.")
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    try:
        parsed = webvtt.from_string(text) if suffix == ".vtt" else _from_srt(text)
    except (MalformedFileError, MalformedCaptionError) as error:
        kind = "WebVTT" if suffix == ".vtt" else "SubRip"
        raise TranscriptError(f"{name} is not valid {kind} ({error}). Mend the file or export it again.") from error
    cues: list[_Cue] = []
    for caption in parsed.captions:
        start, end = float(caption.start_in_seconds), float(caption.end_in_seconds)
        start += _milliseconds(caption.start)
        end += _milliseconds(caption.end)
        if end < start or (cues and start < cues[-1].start):
            raise TranscriptError(f"{name}: the cue at {caption.start} runs backwards in time. Mend the times.")
        words = html.unescape(_TAG.sub("", caption.raw_text)).split()
        if words:
            cues.append(_Cue(start, end, " ".join(words)))
    return cues


def _from_srt(text: str) -> webvtt.WebVTT:
    from io import StringIO

    return webvtt.from_buffer(StringIO(text.lstrip("﻿").lstrip()), format="srt")


def _milliseconds(stamp: str) -> float:
    """webvtt-py gives whole seconds; the stamp ends in three digits of milliseconds."""
    return int(stamp[-3:]) / 1000


def _transcript(cues: list[_Cue], name: str, digest: str) -> Transcript:
    origin = cues[0].start
    words: list[Word] = []
    takes: list[Take] = []
    begin, number, before = 0.0, 1, 0.0
    for cue in cues:
        start, end = cue.start - origin, cue.end - origin
        if words and start - before >= TAKE_GAP_S:
            takes.append(Take(number, begin, before, name, digest=digest))
            number, begin = number + 1, start
        words += _spread(cue.text.split(), start, end, number)
        before = max(before, end)
    takes.append(Take(number, begin, before, name, digest=digest))
    return Transcript(tuple(words), tuple(takes))


def _spread(texts: list[str], start: float, end: float, take: int) -> list[Word]:
    """Words share the cue's time in proportion to their letters, the blank after each counted."""
    total = sum(len(t) + 1 for t in texts)
    words, now = [], start
    for text in texts:
        after = now + (end - start) * (len(text) + 1) / total
        words.append(Word(text=text, start=round(now, 3), end=round(after, 3), take=take, heard=text))
        now = after
    return words
