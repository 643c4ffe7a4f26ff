"""Whether a line of the journal is whole: damage and foreign hands must not reach the draft."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, get_args

from voicedraft.correct.anchors import Anchor
from voicedraft.correct.apply.facts import checked
from voicedraft.correct.apply.rule import Deed
from voicedraft.correct.changes import FactName, Third
from voicedraft.correct.values import MODELS
from voicedraft.draft.document import FactEntry
from voicedraft.types import DESCRIPTOR_STAGES, SECTIONS, STAGES, PairingKind

FIRST_OF_KEY: dict[str, tuple[str, ...]] = {
    "descriptor": tuple(DESCRIPTOR_STAGES), "strength": get_args(Third), "fact": get_args(FactName),
    "pairing": get_args(PairingKind),
}
"""What the first part of a value's key may be; a score's is any aspect."""
PARTS_OF_KEY = {"descriptor": 2, "strength": 1, "fact": 1, "score": 1, "pairing": 2}
BEYOND = 10_000_000
"""More words than any session has."""


def check(deed: Deed) -> None:
    """Raises ValueError, TypeError, LookupError or CorrectionError where a part is missing or of another kind."""
    kind, _, deed_kind = deed.what.partition(".")
    if deed.target.get("at") is not None:
        _anchor(deed.target["at"])
    for name in ("passage", "with"):
        if not isinstance(deed.target.get(name), str | None):
            raise ValueError(name)
    if kind in PARTS_OF_KEY:
        _key([kind, *deed.target["key"]])
        if kind == "fact" and deed_kind == "set":
            _fact(deed.target["key"][0], deed.new["value"])
    if deed.what in ("passage.label", "passage.aside", "passage.accept"):
        _label(deed.new)
    if kind == "words":
        _words(deed.new)


def _anchor(raw: Any) -> None:
    found = Anchor.model_validate(raw)
    if not found.first < found.last < BEYOND or not found.start <= found.end < BEYOND:
        raise ValueError("at")


def _key(key: Sequence[Any]) -> None:
    kind, *names = key
    if len(names) != PARTS_OF_KEY[kind] or not all(isinstance(n, str) and n.strip() for n in names):
        raise ValueError("key")
    if kind in FIRST_OF_KEY and names[0] not in FIRST_OF_KEY[kind]:
        raise ValueError("key")


def _fact(name: str, value: Any) -> None:
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else (value,)
    checked(name, value, read=True)
    if any(isinstance(v, bool) for v in inside):
        raise ValueError("value")


def _label(new: Any) -> None:
    if new["section"] not in SECTIONS or new["stage"] not in (*STAGES, None):
        raise ValueError("section")


def _words(new: Any) -> None:
    if not isinstance(new["text"], str) or not isinstance(new.get("unread"), str | None):
        raise ValueError("text")
    for row in new.get("read", ()):
        _key(row["key"])
        kind, name = row["key"][:2]
        if row["new"] is None:
            continue
        _anchor(row["at"])
        if not all(isinstance(e, str) for e in row.get("evidence", ())):
            raise ValueError("evidence")
        made = MODELS[kind].model_validate({**row["new"], "passage": "", "said": "", "start": 0, "end": 0})
        if isinstance(made, FactEntry):
            _fact(name, made.value)
