"""WebVTT (W3C) as text."""

from __future__ import annotations

from collections.abc import Iterable

Cue = tuple[str, float, float, str]
"""Identifier or "", start and end in seconds, text."""


def webvtt(cues: Iterable[Cue]) -> str:
    """A WebVTT file of cues in time order. Ends are kept after starts, and text is escaped, as the syntax asks."""
    blocks = []
    for name, start, end, text in cues:
        head = f"{name}\n" if name else ""
        blocks.append(f"{head}{stamp(start)} --> {stamp(max(end, start + 0.001))}\n{_escaped(text)}\n")
    return "WEBVTT\n\n" + "\n".join(blocks)


def stamp(seconds: float) -> str:
    """Seconds as HH:MM:SS.mmm."""
    ms = round(seconds * 1000)
    return f"{ms // 3_600_000:02d}:{ms // 60_000 % 60:02d}:{ms // 1000 % 60:02d}.{ms % 1000:03d}"


def _escaped(text: str) -> str:
    return " ".join(text.split()).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
