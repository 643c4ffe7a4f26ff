"""The steps of reading descriptors, in order: tokens, tags, mentions, what is said of each, entries."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import numpy.typing as npt

from voicedraft.lexicon import Lexicon
from voicedraft.read.analysis import Analysis
from voicedraft.read.descriptors.bare import bare
from voicedraft.read.descriptors.context import Mention, context_features
from voicedraft.read.descriptors.corrections import find_corrections, only_named
from voicedraft.read.descriptors.cues import Cue, CueFinder
from voicedraft.read.descriptors.follow_on import gone_after
from voicedraft.read.descriptors.gone import gone_outright, not_gone
from voicedraft.read.descriptors.lexical import Matcher, amounts, modifier_classes
from voicedraft.read.descriptors.mentions import find_mentions, late_modifier
from voicedraft.read.descriptors.merge import Entry, Said, merge
from voicedraft.read.descriptors.outright import (
    beyond_doubt,
    claimed,
    denied_outright,
    echoed,
    not_till_now,
    only_spoken_of,
)
from voicedraft.read.descriptors.places import PlaceFinder, place_features
from voicedraft.read.descriptors.recalled import recalled
from voicedraft.read.descriptors.tag_features import token_features
from voicedraft.read.descriptors.terms import key, written
from voicedraft.read.descriptors.tokens import Tokens, tokens
from voicedraft.read.descriptors.weighed import nearly_said
from voicedraft.read.descriptors.weights import DescriptorWeights, Linear, shipped
from voicedraft.types import Descriptor, DescriptorStage, Evidence, Intensity, Passage, Status

Floats = npt.NDArray[np.float32]
_STAGES: dict[str, DescriptorStage] = {"first": "first", "second": "second", "final": "final", "after": "room"}


class Tools:
    """The lexicon made ready for matching; built once for a lexicon."""

    def __init__(self, lexicon: Lexicon) -> None:
        self.lexicon = lexicon
        self.matcher = Matcher(lexicon)
        self.cues = CueFinder(lexicon)
        self.places = PlaceFinder(lexicon)
        self.classes = modifier_classes(lexicon)
        keep = lexicon.tables.get("modifiers", {}).get("keep", {})
        self.of_heads = frozenset(keep.get("of_heads", ()))
        drop = lexicon.tables.get("modifiers", {}).get("drop", {})
        self.parts = frozenset(self.matcher.heads) | frozenset(keep.get("part_after", ()))
        self.late = frozenset(keep.get("heat", ())) | frozenset(keep.get("colour", ())) | {"buttered", "salted"}
        self.carriers = frozenset(drop.get("carrier", ()))
        self.amounts = amounts(lexicon)


_TOOLS: dict[int, Tools] = {}


def tools(lexicon: Lexicon) -> Tools:
    """The tools of a lexicon, made once."""
    found = _TOOLS.get(id(lexicon))
    if found is None or found.lexicon is not lexicon:
        _TOOLS.clear()
        found = _TOOLS[id(lexicon)] = Tools(lexicon)
    return found


@dataclass(frozen=True)
class Seen:
    """Everything that the classifiers see of a session."""

    row: Tokens
    mentions: list[Mention]
    cues: list[list[Cue]]
    features: list[list[str]]
    dense: Floats
    place_features: list[list[str]]


def tag_dense(row: Tokens, projection: Floats) -> Floats:
    """(n, 3k): the projected vector of each token, of the one before and of the one after."""
    flat = row.vectors @ projection
    edge = np.zeros((1, flat.shape[1]), np.float32)
    if not len(flat):
        return np.zeros((0, 3 * flat.shape[1]), np.float32)
    return np.hstack([flat, np.vstack([edge, flat[:-1]]), np.vstack([flat[1:], edge])])


def tag(row: Tokens, kit: Tools, tagger: Linear, projection: Floats) -> Floats:
    """(n, 3) log-probabilities of outside, beginning and inside of a flavour's name."""
    return tagger.log_probabilities(token_features(row, kit.matcher, kit.classes), tag_dense(row, projection))


def see(row: Tokens, kit: Tools, scores: Floats, bias: float) -> Seen:
    """Mentions and their features, from the tagger's scores."""
    found = find_mentions(row, scores, bias, kit.classes, kit.of_heads, kit.carriers, kit.parts, kit.amounts)
    cues = kit.cues.find([t.lower for t in row.rows], row.bounds)
    features, dense = context_features(row, found, cues)
    return Seen(row, found, cues, features, dense, place_features(row, found, kit.places.find(row)))


def read(
    analysis: Analysis, passages: Sequence[Passage], lexicon: Lexicon, weights: object = None
) -> tuple[Descriptor, ...]:
    """Descriptors in the order in which they were first said."""
    learned = weights if isinstance(weights, DescriptorWeights) else shipped()
    kit = tools(lexicon)
    row = tokens(analysis, passages, kit.matcher)
    if not row.rows:
        return ()
    scores = tag(row, kit, learned.tagger, learned.projection)
    seen = see(row, kit, scores, learned.tag_bias)
    return tuple(_descriptor(e, lexicon, kit) for e in merge(judge(seen, kit, learned)))


def judge(seen: Seen, kit: Tools, learned: DescriptorWeights) -> list[Said]:
    """The mentions that are entries, with stage, status and intensity."""
    if not seen.mentions:
        return []
    status = np.exp(learned.status.log_probabilities(seen.features, seen.dense))
    intensity = learned.intensity.log_probabilities(seen.features, seen.dense)
    place = learned.place.log_probabilities(seen.place_features)
    taken = find_corrections(seen.row, seen.mentions, seen.cues)
    named = only_named(seen.row, seen.mentions) - set(taken)
    weighed = [nearly_said(seen.row, seen.mentions, n) for n in range(len(seen.mentions))]
    alone, denied = bare(seen.row, seen.mentions), _denied(seen, weighed)
    renamed = {c.new for c in taken.values() if c.new is not None}
    out: list[Said] = []
    for n, mention in enumerate(seen.mentions):
        passage = seen.row.passage(mention.first)
        entry = 1.0 if weighed[n] else 1.0 - float(status[n, 0])
        if passage is None or passage.stage is None or (entry < learned.threshold and n not in taken):
            continue
        if passage.stage == "prelight":
            stage = cast(DescriptorStage, learned.place.labels[int(place[n].argmax())])
        else:
            stage = _STAGES[passage.stage]
        kind = _status(seen, n, status[n], alone[n], denied[n], weighed[n], renamed)
        presumed = granted(mention, seen.cues[seen.row.rows[mention.first].sentence])
        if (presumed and kind in ("absent", "gone")) or (n in named and kind == "absent" and not weighed[n]):
            continue
        if n not in taken and (_said_of_nothing(seen, n, kind, denied) or recalled(seen.row, mention, stage)):
            continue
        step = "medium" if presumed else learned.intensity.labels[int(intensity[n].argmax())]
        late = late_modifier(seen.row, mention.last, kit.late)
        said = _said(seen, n, passage, stage, kind, cast(Intensity, step), entry, late)
        said = replace(said, outright=denied[n] and kind in ("absent", "gone"))
        out.append(_correcting(seen, said, taken[n].new) if n in taken else said)
    return out


def _denied(seen: Seen, weighed: Sequence[bool]) -> list[bool]:
    """Whether each mention is denied outright, or weighed and left."""
    rows = seen.row.rows
    return [
        left or denied_outright(seen.row, m, seen.cues[rows[m.first].sentence])
        for m, left in zip(seen.mentions, weighed, strict=True)
    ]


def _status(
    seen: Seen, n: int, odds: Floats, alone: bool, denied: bool, weighed: bool, renamed: Collection[int]
) -> Status:
    """The status of mention `n`, from its odds and the words right at it.

    alone: whether its sentence only names. denied: whether it is denied outright. weighed: whether it is
    weighed and left. renamed: mentions that are new names.
    """
    mention = seen.mentions[n]
    cues = seen.cues[seen.row.rows[mention.first].sentence]
    own = claimed(seen.row, seen.mentions, n, cues, n in renamed)
    kind = decide(odds, NEVER if alone or (own and n in renamed) else CLAIMED if own else DENIED)
    if kind in ("absent", "gone"):
        stays = not_till_now(seen.row, mention) or (kind == "gone" and not_gone(seen.row, seen.mentions, n))
        return "present" if stays else kind
    if denied and (weighed or beyond_doubt(seen.row, mention)):
        return "absent"
    left = gone_outright(seen.row, seen.mentions, n) or gone_after(seen.row, seen.mentions, n)
    return "gone" if left else kind


def _said_of_nothing(seen: Seen, n: int, kind: Status, denied: Sequence[bool]) -> bool:
    """Whether the name only comes up: not expected, or said again after it was denied."""
    mention = seen.mentions[n]
    cues = seen.cues[seen.row.rows[mention.first].sentence]
    echo = kind not in ("absent", "gone") and echoed(seen.row, seen.mentions, n, denied, cues)
    return echo or only_spoken_of(seen.row, mention, kind)


DENIED = 0.2
"""Least joint probability of gone and absent at which an entry is told as one of them: to print what was denied as
present is the worse mistake. Chosen leave-one-speaker-out."""


CLAIMED = 0.4
"""The same where the name's own clause says that it is there: what denies then mostly denies another flavour."""
NEVER = 1.0
"""The same where nothing is said but the flavour's name, which nobody says to deny it."""


def decide(probabilities: Floats, denied: float = DENIED) -> Status:
    """The status of an entry from the probabilities of none, present, fading, gone, absent. denied: as `DENIED`."""
    _, present, fading, gone, absent = (float(p) for p in probabilities)
    if gone + absent > denied * (present + fading + gone + absent):
        return "gone" if gone > absent else "absent"
    return "fading" if fading > present else "present"


def granted(mention: Mention, cues: Sequence[Cue]) -> bool:
    """Whether the words right before it take the flavour for granted: "not sweet, in spite of the honey" denies no
    honey, and says nothing new of it."""
    return any(cue.kind == "granted" and cue.last == mention.first for cue in cues)


def _correcting(seen: Seen, said: Said, new: int | None) -> Said:
    """The mention as a correction: what it names is withdrawn, or renamed to mention `new`."""
    because = (Evidence("correction", "taken back by the speaker", 0.0, said.first, said.last),)
    if new is None:
        return replace(said, takes_back=True, evidence=because)
    other = seen.mentions[new]
    rows = seen.row.rows
    return replace(
        said, takes_back=True, new_term=written(seen.row, other.first, other.last), new_key=other.key,
        first=rows[other.first].word, last=rows[other.last - 1].word + 1, evidence=because,
    )


def _said(
    seen: Seen, n: int, passage: Passage, stage: DescriptorStage, status: Status, intensity: Intensity,
    confidence: float, late: int,
) -> Said:
    row, mention = seen.row, seen.mentions[n]
    first, last = row.rows[mention.first].word, row.rows[mention.last - 1].word + 1
    a, b = row.stretch(mention.first, mention.last)
    said = row.analysis.transcript.text(row.rows[a].word, row.rows[b - 1].word + 1)
    term = written(row, mention.first, mention.last, late)
    evidence = [Evidence("model", f"{status}, {confidence:.2f} sure that it is an entry", confidence, first, last)]
    sentence = row.rows[mention.first].sentence
    for cue in seen.cues[sentence]:
        if cue.kind in (status, intensity) and (cue.last <= mention.first or cue.first >= mention.last):
            words = " ".join(t.text for t in row.rows[cue.first : cue.last])
            evidence.append(Evidence("cue", f"{cue.kind}: {words}", 0.0, row.rows[cue.first].word,
                                     row.rows[cue.last - 1].word + 1))
    return Said(
        term=term, key=key(term), stage=stage, status=status,
        intensity=intensity, cued=intensity != "medium", passage=passage.id, first=first, last=last,
        said=said, confidence=round(confidence, 3), evidence=tuple(evidence),
    )


def _descriptor(entry: Entry, lexicon: Lexicon, kit: Tools) -> Descriptor:
    said = entry.said
    return Descriptor(
        term=said.term, family=family(said.term, lexicon, kit), stage=said.stage, status=said.status,
        intensity=said.intensity if said.status == "present" else None, passage=said.passage,
        first=said.first, last=said.last, said=said.said, confidence=said.confidence, evidence=said.evidence,
        other_spans=tuple(entry.spans),
    )


def family(term: str, lexicon: Lexicon, kit: Tools) -> str:
    """Family of a listed term, else that of the listed term with the same last word, else "other"."""
    found = lexicon.family(term)
    if found is None:
        last = term.split()[-1] if term.split() else ""
        found = lexicon.family(last) or kit.matcher.heads.get(last)
    return found or "other"


