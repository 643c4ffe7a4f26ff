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

LONGEST_WORD = 200
"""Letters past which a "word" is no speech, and slow to read."""

_TAG = re.compile(r"</?(?:c|i|b|u|v|lang|ruby|rt|font)(?:[.\s][^<>]*)?>|<\d[\d:.]*>", re.IGNORECASE)
"""WebVTT's own tags and time stamps, and SubRip's; whatever else stands in angle brackets was said."""
_TIMES = {
    ".vtt": re.compile(r"\s*(?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}[ \t]+-->[ \t]+(?:\d{2,}:)?[0-5]\d:[0-5]\d\.\d{3}"),
    ".srt": re.compile(r"\s*\d+:[0-5]\d:[0-5]\d[,.]\d{3}[ \t]*-->[ \t]*\d+:[0-5]\d:[0-5]\d[,.]\d{3}"),
}
_NO_CUE = re.compile(r"(?:WEBVTT|NOTE|STYLE|REGION)\b")
_UNSEEN = {c: None for c in (*range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2060, 0x206A), 0xFEFF)} | {
    c: " " for c in (*range(9), *range(11, 32), *range(0x7F, 0xA0))
}
"""Characters that nobody sees: zero-width and direction marks are dropped, control characters become blanks."""
_ENCODINGS = ("utf-8-sig", "utf-16", "cp1252")


@dataclass(frozen=True, slots=True)
class _Cue:
    start: float
    end: float
    text: str


def read_timed_text(path: Path) -> Transcript:
    """The words of a .vtt or .srt file. Where two cues overlap, the first ends where the second begins.

    Raises TranscriptError where the file breaks its syntax, has no words, or times that run backwards.
    """
    try:
        raw = path.read_bytes()
    except OSError as error:
        raise TranscriptError(f"{path.name} cannot be read ({error.strerror}). Check the file.") from error
    return parse_timed_text(_decode(path.name, raw), path.name, hashlib.sha256(raw).hexdigest())


def is_timed_text(path: Path) -> bool:
    """Whether the file is called as a timed transcript is, not a recording."""
    return path.suffix.lower() in SUFFIXES


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
    text = text.replace("\r\n", "\n").replace("\r", "\n").translate(_UNSEEN)
    _check_times(name, text, suffix)
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
        words = html.unescape(_TAG.sub("", caption.raw_text)).translate(_UNSEEN).split()
        if any(len(w) > LONGEST_WORD for w in words):
            raise TranscriptError(
                f"{name}: the cue at {caption.start} has a word of over {LONGEST_WORD} letters. Mend it."
            )
        if words:
            if cues and start < cues[-1].end:
                cues[-1] = _Cue(cues[-1].start, start, cues[-1].text)
            cues.append(_Cue(start, end, " ".join(words)))
    return cues


def _check_times(name: str, text: str, suffix: str) -> None:
    """Refuses a block whose times break the syntax: a reader that skips it would lose what was said there."""
    number, block = 0, ""
    for n, line in enumerate([*text.split("\n"), ""], start=1):
        if line.strip():
            number, block = (number, block + "\n" + line) if block else (n, line)
            continue
        lines = block.split("\n")
        skip = not block or (suffix == ".vtt" and (_NO_CUE.match(block) or number == 1))
        if not skip and (suffix == ".vtt" or "->" in block) and not any(_TIMES[suffix].match(x) for x in lines[:2]):
            kind = "WebVTT" if suffix == ".vtt" else "SubRip"
            raise TranscriptError(f"{name}, line {number}: {lines[0][:60]!r} begins no {kind} cue. Mend its times.")
        block = ""


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
