"""Reads data/descriptors.txt, short made-up speakers with flavours marked in brackets, as gold sessions."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from voicedraft.read.descriptors.terms import TASTES, singular

_WHERE = {
    "W": ("prelight", "prelight", "wrapper"), "F": ("prelight", "prelight", "foot"),
    "C": ("prelight", "prelight", "cold_draw"), "1": ("first_third", "first", "first"),
    "2": ("second_third", "second", "second"), "3": ("final_third", "final", "final"),
    "R": ("palate", "after", "room"), "P": ("palate", "after", "room"), "A": ("aside", None, None),
    "B1": ("burn", "first", "first"), "B2": ("burn", "second", "second"), "B3": ("burn", "final", "final"),
}
_STATUS = {"P": "present", "F": "fading", "G": "gone", "A": "absent"}
_STEP = {"h": "hint", "l": "light", "m": "medium", "s": "strong", "d": "dominant"}
_MARK = re.compile(r"\[([^|\]]+)\|([A-Z])([a-z]?)\]")


def extra_sessions(path: Path | None = None) -> list[tuple[str, dict[str, Any]]]:
    """(name, gold) of each made-up speaker, names made01, made02 …"""
    source = path or Path(__file__).resolve().parent / "data" / "descriptors.txt"
    text = "\n".join(line for line in source.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    blocks = [b for b in re.split(r"\n\s*\n", text) if b.strip()]
    return [(f"made{n + 1:02d}", _session(f"made{n + 1:02d}", block)) for n, block in enumerate(blocks)]


def _session(name: str, block: str) -> dict[str, Any]:
    sentences: list[dict[str, Any]] = []
    entries: list[dict[str, Any]] = []
    for line in block.strip().splitlines():
        code, marked = line.strip().split(" ", 1)
        section, stage, place = _WHERE[code]
        text = _MARK.sub(lambda m: m.group(1), marked)
        sentences.append({"t": text, "section": section, "stage": stage})
        for word, kind, step in _MARK.findall(marked):
            if kind != "N":
                entries.append({
                    "stage": place, "term": _term(word), "status": _STATUS[kind],
                    "intensity": _STEP[step] if kind == "P" else None, "quote": text.rstrip(".?!"),
                })
    return {"id": name, "takes": [{"minutes_since_light": None, "sentences": sentences}], "descriptors": entries}


def _term(word: str) -> str:
    lower = word.lower()
    if lower in TASTES:
        return TASTES[lower]
    *front, last = lower.split(" ")
    return " ".join([*front, singular(last)])
