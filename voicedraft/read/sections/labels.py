"""The states that the decoder walks through, and how they become sections and stages.

A state is a topic and a phase. The phase is how far the session has come (before the light, the thirds, after); it is
carried through asides and talk of prices too, although their stage is null, so that the walk knows where it was.
The three thirds are one topic, told apart by the phase.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from voicedraft.types import Section, Stage

Floats = npt.NDArray[np.float64]

TOPICS: Final = (
    "background", "appearance", "prelight", "third", "burn", "palate", "value", "verdict", "pairings", "aside",
)
PHASES: Final[tuple[Stage, ...]] = ("prelight", "first", "second", "final", "after")
_PHASES_OF: Final = {"prelight": (0,), "third": (1, 2, 3), "burn": (1, 2, 3, 4), "palate": (4,)}
_THIRDS: Final[dict[int, Section]] = {1: "first_third", 2: "second_third", 3: "final_third"}

STATES: Final = tuple((t, p) for t, name in enumerate(TOPICS) for p in _PHASES_OF.get(name, range(len(PHASES))))
TOPIC_OF: Final = np.array([t for t, _ in STATES])
PHASE_OF: Final = np.array([p for _, p in STATES])
TOPIC_ROWS: Final[Floats] = np.eye(len(TOPICS))[TOPIC_OF]
"""(states, topics), one where the state has that topic."""
PHASE_ROWS: Final[Floats] = np.eye(len(PHASES))[PHASE_OF]
"""(states, phases), one where the state has that phase."""


def topic_of(section: Section) -> int:
    """Index of the topic of a section."""
    return TOPICS.index("third" if section.endswith("_third") else section)


def allowed(section: Section, stage: Stage | None) -> Floats:
    """(states,) ones where a state agrees with an annotated section and stage."""
    topic = topic_of(section)
    ok = np.equal(TOPIC_OF, topic)
    if TOPICS[topic] in _PHASES_OF and stage is not None:
        phase = PHASES.index(stage)
        held = ok & np.equal(PHASE_OF, phase)
        ok = held if held.any() else ok
    result: Floats = np.asarray(ok, np.float64)
    return result


def label(state: int) -> tuple[Section, Stage | None]:
    """Section and stage that a state stands for. Verdict and palate are said after the smoke."""
    topic, phase = STATES[state]
    name = TOPICS[topic]
    if name == "third":
        return _THIRDS[phase], PHASES[phase]
    if name in ("burn", "prelight"):
        return name, PHASES[phase]  # type: ignore[return-value]
    return name, "after" if name in ("palate", "verdict") else None  # type: ignore[return-value]


LABELS: Final = tuple(dict.fromkeys(label(k) for k in range(len(STATES))))
"""The distinct (section, stage) pairs."""
LABEL_ROWS: Final[Floats] = np.array([[float(label(k) == name) for name in LABELS] for k in range(len(STATES))])
"""(states, labels), one where the state stands for the label."""
