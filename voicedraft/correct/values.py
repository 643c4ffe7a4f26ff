"""The values of a state by one key each, whatever their kind: flavour, strength, fact, score, pairing."""

from __future__ import annotations

from typing import Any, cast

from voicedraft.correct.state import State
from voicedraft.draft.document import DescriptorEntry, FactEntry, PairingEntry, Quoted, ScoreEntry, StrengthEntry
from voicedraft.types import PairingKind

Key = tuple[str, ...]
"""("descriptor", stage, term), ("strength", third), ("fact", name), ("score", aspect) or ("pairing", kind, name);
names in lower case. `State.by_hand` and `State.removed` hold the same keys."""

MODELS: dict[str, type[Quoted]] = {
    "descriptor": DescriptorEntry, "strength": StrengthEntry, "fact": FactEntry, "score": ScoreEntry,
    "pairing": PairingEntry,
}
SAID: dict[str, tuple[str, ...]] = {
    "descriptor": ("status", "intensity"), "strength": ("low", "high"), "fact": ("value", "guessed"),
    "score": ("value", "out_of"), "pairing": (),
}
"""Fields of each kind that the speaker's words decide; two values of a key that agree in these say the same."""


def by_key(state: State) -> dict[Key, Quoted]:
    """Every value of a state."""
    out: dict[Key, Quoted] = {("descriptor", d.stage, d.term.lower()): d for d in state.descriptors}
    out |= {("strength", k): v for k, v in state.strength.items()}
    out |= {("fact", k): v for k, v in state.facts.items()}
    out |= {("score", s.aspect.lower()): s for s in state.scores}
    return out | {("pairing", k, e.value.lower()): e for k, e in state.pairings}


def drop(state: State, key: Key) -> None:
    """Takes a value out, where it is there."""
    kind = key[0]
    if kind == "descriptor":
        state.descriptors = [d for d in state.descriptors if (d.stage, d.term.lower()) != key[1:]]
    elif kind == "score":
        state.scores = [s for s in state.scores if s.aspect.lower() != key[1]]
    elif kind == "pairing":
        state.pairings = [(k, e) for k, e in state.pairings if (k, e.value.lower()) != key[1:]]
    else:
        held: dict[str, Any] = state.strength if kind == "strength" else state.facts
        held.pop(key[1], None)


def put(state: State, key: Key, entry: Quoted) -> None:
    """Sets a value in the place of the one of that key."""
    kind = key[0]
    if kind == "strength":
        state.strength[key[1]] = cast(StrengthEntry, entry)
    elif kind == "fact":
        state.facts[key[1]] = cast(FactEntry, entry)
    else:
        drop(state, key)
        if kind == "descriptor":
            state.descriptors = sorted([*state.descriptors, cast(DescriptorEntry, entry)], key=lambda d: d.start)
        elif kind == "score":
            state.scores.append(cast(ScoreEntry, entry))
        else:
            state.pairings.append((cast(PairingKind, key[1]), cast(PairingEntry, entry)))


def same(kind: str, one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Whether two values of one key, as plain data, say the same."""
    return all(one.get(f) == other.get(f) for f in SAID[kind])
