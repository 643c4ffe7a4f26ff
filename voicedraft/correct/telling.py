"""Corrections told in one plain sentence each, for the page, the terminal and messages."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from voicedraft.correct.journal import REDO, UNDO, Event
from voicedraft.draft import wording

_KINDS = {"drink": "to drink", "food": "to eat", "avoid": "to leave aside"}


def tell(event: Event) -> str:
    """What a correction did; its bare kind where its line in the journal is not whole."""
    try:
        return _tell(event)
    except (LookupError, TypeError, ValueError, AttributeError, OverflowError):
        return event.what


def _tell(event: Event) -> str:
    new, old, key = event.new, event.old, event.target.get("key") or ["?"]
    at = f"at {_when(event)}"
    texts = {
        "passage.label": lambda: f"passage {at}: {label(new)} in place of {label(old)}",
        "passage.aside": lambda: f"passage {at}: left out, was {label(old)}",
        "passage.split": lambda: f"passage {at}: split before “{new.get('text', '')}”",
        "passage.merge": lambda: f"passage {at}: merged with the next",
        "passage.accept": lambda: f"passage {at}: accepted as {label(new)}",
        "words.fix": lambda: f"words {at}: “{new.get('text', '')}” in place of “{old.get('text', '')}”{taken(new)}",
        "words.revert": lambda: f"words {at}: back to “{new.get('text', '')}” as heard{taken(new)}",
        "descriptor.add": lambda: f"flavour added: {flavour(new)}",
        "descriptor.edit": lambda: f"flavour changed: {flavour(new)} in place of {flavour(old)}",
        "descriptor.remove": lambda: f"flavour removed: {flavour(old)}",
        "strength.set": lambda: f"strength, {_stage(key[0])}: {wording.strength_text(new['low'], new['high'])}",
        "strength.clear": lambda: f"strength, {_stage(key[0])}: cleared",
        "fact.set": lambda: f"{_fact(key[0])}: {_value(key[0], new)}",
        "fact.clear": lambda: f"{_fact(key[0])}: left blank",
        "score.add": lambda: f"score added: {_score(new)}",
        "score.edit": lambda: f"score changed: {_score(new)} in place of {_score(old)}",
        "score.remove": lambda: f"score removed: {_score(old)}",
        "pairing.add": lambda: f"pairing added: {_pairing(new)}",
        "pairing.edit": lambda: f"pairing changed: {_pairing(new)} in place of {_pairing(old)}",
        "pairing.remove": lambda: f"pairing removed: {_pairing(old)}",
        UNDO: lambda: f"undone: {new.get('text', 'a correction')}",
        REDO: lambda: f"brought back: {new.get('text', 'a correction')}",
    }
    return texts[event.what]() if event.what in texts else event.what


def taken(new: dict[str, Any]) -> str:
    """What the new words brought and took with them, or that they were not read."""
    if new.get("unread"):
        return "; the values here could not be read again and are marked to look at"
    rows = [r for r in new.get("read", ()) if not r.get("kept")]
    came = [value(r["key"], r["new"]) for r in rows if r["new"] is not None]
    went = [value(r["key"], r["old"]) for r in rows if r["new"] is None]
    return (f"; read from them: {', '.join(came)}" if came else "") + (f"; gone: {', '.join(went)}" if went else "")


def value(key: Sequence[str], data: dict[str, Any]) -> str:
    """Any value by its key (see `voicedraft.correct.values`)."""
    kind, *names = key
    if kind == "descriptor":
        return flavour({"stage": names[0], "term": names[1], **data})
    if kind == "strength":
        return f"strength, {_stage(names[0]).lower()}, {wording.strength_text(data['low'], data['high'])}"
    if kind == "fact":
        return f"{_fact(names[0]).lower()} {_value(names[0], data)}"
    if kind == "score":
        return f"score {_score({'aspect': names[0], **data})}"
    return _pairing({"kind": names[0], "value": names[1], **data})


def label(data: dict[str, Any]) -> str:
    """Section and, where it adds something, stage."""
    section, stage = str(data.get("section")), data.get("stage")
    name = wording.SECTION_NAMES.get(section, section)
    return f"{name}, {_stage(stage).lower()}" if stage and section in ("burn", "palate", "verdict") else name


def flavour(data: dict[str, Any]) -> str:
    """A flavour with its stage and how much of it."""
    status = wording.STATUS_NAMES.get(str(data.get("status")), "")
    words = wording.INTENSITY_NAMES.get(str(data.get("intensity")), status)
    return f"{data.get('term')} ({_stage(data.get('stage')).lower()}{', ' + words if words else ''})"


def _when(event: Event) -> str:
    anchor = event.target.get("at") or {}
    return wording.clock(float(anchor.get("start", 0.0)))


def _stage(stage: Any) -> str:
    return wording.STAGE_NAMES.get(str(stage), str(stage))


def _fact(name: str) -> str:
    return wording.FACT_NAMES.get(name, name)


def _value(name: str, new: dict[str, Any]) -> str:
    text = wording.fact_text(name, new["value"])
    return f"{text}, a guess" if new.get("guessed") else text


def _score(data: dict[str, Any]) -> str:
    return f"{data['aspect']} {wording.number(data['value'])} of {wording.number(data['out_of'])}"


def _pairing(data: dict[str, Any]) -> str:
    return f"{data['value']}, {_KINDS.get(str(data['kind']), data['kind'])}"
