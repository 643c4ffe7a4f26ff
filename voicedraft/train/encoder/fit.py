"""Fits the encoder's changes: sections, flavour names, statuses and amounts, what each number or name is, acts, and
what is wanted or refused are read off its vectors by linear layers, and layers and changes learn together. The layers
are dropped afterwards; what reads the vectors is fitted anew.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import torch
from torch.nn import functional

from voicedraft.read.sections.features import around
from voicedraft.train.encoder.bert import WIDTH, Bert, Tensors, hidden, thin
from voicedraft.train.encoder.material import ACTS, LABELS, WANTED, Material

RANK, EPOCHS, SESSIONS = 8, 12, 5
"""Directions of a change, rounds over all sessions, and sessions of one step. Ranks 4 and 8, rates 1e-3 and 2e-3, 8 to
20 rounds were compared on folds over speakers; 8, 2e-3, 12 read best."""
RATE, LAYER_RATE, DECAY = 2e-3, 3e-3, 1e-2
DROPOUT, LAYER_DROPOUT, TAG_DROPOUT = 0.1, 0.5, 0.3
WARM = 0.1
"""Share of the steps in which the rate rises; it falls to zero in the rest."""
PARTS_OF_LOSS = {
    "sections": 1.0, "tags": 2.0, "status": 1.0, "intensity": 0.5, "named": 0.5, "wanted": 0.5, "acts": 0.25,
}
TOPICS, PHASES, TAGS, STATUSES, STEPS = 10, 5, 3, 5, 5
VECTOR_SCALE, TOKEN_SCALE = math.sqrt(20.0), 2.5
"""Bring sentence vectors (length 1) and token vectors to about unit deviation."""


@dataclass(frozen=True, eq=False)
class _Loaded:
    """One session on the device. `pool`: (sentences, most tokens, most pieces) averages; `rows`: tokens of `pool`."""

    long: bool
    ids: torch.Tensor
    mask: torch.Tensor
    around: torch.Tensor
    extra: torch.Tensor
    topic: torch.Tensor
    phase: torch.Tensor
    pool: torch.Tensor
    rows: torch.Tensor
    sentence_of: torch.Tensor
    tags: torch.Tensor
    tag_weights: torch.Tensor
    mentions: torch.Tensor
    mention_weights: torch.Tensor
    names: torch.Tensor
    """(mentions, tokens) averages over each name."""
    named: torch.Tensor
    """What each number or name is."""
    numbers: torch.Tensor
    """(numbers and names, tokens) averages over each."""
    acts: torch.Tensor
    wanted: torch.Tensor
    wanted_weights: torch.Tensor


def _loaded(m: Material, device: str) -> _Loaded:
    count, width = len(m.lengths), int(m.lengths.max())
    ids = np.zeros((count, width), np.int64)
    mask = np.arange(width)[None, :] < m.lengths[:, None]
    ids[mask] = m.ids
    sentence, first, end = m.tokens.T if len(m.tokens) else np.zeros((3, 0), np.int64)
    place = np.array([n - int(np.searchsorted(sentence, s)) for n, s in enumerate(sentence)], np.int64)
    most = int(place.max(initial=0)) + 1
    pool = np.zeros((count, most, width), np.float32)
    for s, p, a, z in zip(sentence, place, first, end, strict=True):
        pool[s, p, a:z] = 1.0 / max(1, z - a)

    def averages(spans: np.ndarray) -> np.ndarray:
        rows = np.zeros((len(spans), len(m.tokens)), np.float32)
        for row, (a, z) in zip(rows, spans[:, :2], strict=True):
            row[a:z] = 1.0 / (z - a)
        return rows

    def put(x: np.ndarray, kind: torch.dtype) -> torch.Tensor:
        return torch.tensor(np.asarray(x), dtype=kind, device=device)

    whole, real = torch.int64, torch.float32
    return _Loaded(
        bool((m.topic >= 0).any()), put(ids, whole), put(mask, real), put(around(m.takes.tolist()), real),
        put(m.extra, real), put(m.topic, whole), put(m.phase, whole), put(pool, real),
        put(sentence * most + place, whole), put(sentence, whole), put(m.tags, whole), put(m.tag_weights, real),
        put(m.mentions, whole), put(m.mention_weights, real), put(averages(m.mentions), real),
        put(m.named[:, 2], whole), put(averages(m.named), real), put(m.acts, whole), put(m.wanted, whole),
        put(m.wanted_weights, real),
    )


def _vectors(bert: Bert, changes: Tensors, sessions: Sequence[_Loaded], dropout: float
             ) -> list[tuple[torch.Tensor, torch.Tensor]]:
    """(sentence vectors (sentences, 384) of length 1, token vectors (tokens, 384)) of each session.

    While learning, that is with dropout, the states are computed with bfloat16 products.
    """
    width = max(s.ids.shape[1] for s in sessions)
    ids, mask = (torch.cat([functional.pad(x, (0, width - x.shape[1])) for x in part])
                 for part in ([s.ids for s in sessions], [s.mask for s in sessions]))
    half = len(ids) // 2 + 1
    order = torch.argsort(mask.sum(1), stable=True)
    found = []
    for begin in range(0, len(ids), half):
        at = order[begin : begin + half]
        longest = int(mask[at].sum(1).max())
        with torch.autocast(ids.device.type, dtype=torch.bfloat16, enabled=dropout > 0):
            states = hidden(bert, changes, ids[at, :longest], mask[at, :longest], dropout).float()
        found.append(functional.pad(states, (0, 0, 0, width - longest)))
    states = torch.cat(found)[torch.argsort(order)]
    out, begin = [], 0
    for s in sessions:
        own = states[begin : begin + len(s.ids), : s.ids.shape[1]]
        begin += len(s.ids)
        mean = (own * s.mask[:, :, None]).sum(1) / s.mask.sum(1, keepdim=True)
        out.append((functional.normalize(mean, dim=1), (s.pool @ own).reshape(-1, WIDTH)[s.rows]))
    return out


def _shifted(x: torch.Tensor, by: int) -> torch.Tensor:
    edge = torch.zeros_like(x[:1])
    return torch.cat([x[1:], edge]) if by > 0 else torch.cat([edge, x[:-1]])


def _sentence_view(v: torch.Tensor, s: _Loaded) -> torch.Tensor:
    v = v * VECTOR_SCALE
    return torch.cat([v, _shifted(v, -1) * 0.5, _shifted(v, 1) * 0.5, s.around @ v, s.extra], 1)


def _token_view(t: torch.Tensor) -> torch.Tensor:
    t = t * TOKEN_SCALE
    return torch.cat([t, _shifted(t, -1), _shifted(t, 1)], 1)


def _mention_view(v: torch.Tensor, t: torch.Tensor, s: _Loaded) -> torch.Tensor:
    """The name itself, the tokens before and after it, its sentence and the one before."""
    first, end = s.mentions[:, 0], s.mentions[:, 1]
    padded = torch.cat([t, torch.zeros_like(t[:1])])
    sentence = s.sentence_of[first]
    return torch.cat([
        torch.cat([s.names @ t, padded[(first - 1).clamp(min=0)], padded[end]], 1) * TOKEN_SCALE,
        torch.cat([v[sentence], v[(sentence - 1).clamp(min=0)]], 1) * VECTOR_SCALE,
    ], 1)


def _layers(extra: int, device: str) -> Tensors:
    shapes = {"sections": (4 * WIDTH + extra, TOPICS + PHASES), "tags": (3 * WIDTH, TAGS),
              "status": (5 * WIDTH, STATUSES), "intensity": (5 * WIDTH, STEPS), "named": (WIDTH, LABELS),
              "wanted": (WIDTH, WANTED), **{f"acts {n}": (WIDTH, told) for n, told in enumerate(ACTS)}}
    out = {}
    for name, (inputs, outputs) in shapes.items():
        out[name] = torch.zeros(inputs, outputs, device=device, requires_grad=True)
        out[name + " bias"] = torch.zeros(outputs, device=device, requires_grad=True)
    return out


def _mean(losses: torch.Tensor, weights: torch.Tensor) -> torch.Tensor:
    return (losses * weights).sum() / weights.sum().clamp(min=1e-6)


def _losses(
    layers: Tensors, sessions: Sequence[_Loaded], found: Sequence[tuple[torch.Tensor, torch.Tensor]]
) -> Iterator[torch.Tensor]:
    def read(name: str, rows: Sequence[torch.Tensor], share: float) -> torch.Tensor:
        return functional.dropout(torch.cat(list(rows)), share) @ layers[name] + layers[name + " bias"]

    def both(name: str, of: Sequence[_Loaded]) -> torch.Tensor:
        return torch.cat([getattr(s, name) for s in of])

    long = [(v, s) for (v, _), s in zip(found, sessions, strict=True) if s.long]
    if long:
        odds = read("sections", [_sentence_view(v, s) for v, s in long], LAYER_DROPOUT)
        at = [s for _, s in long]
        yield PARTS_OF_LOSS["sections"] * functional.cross_entropy(odds[:, :TOPICS], both("topic", at))
        if bool((both("phase", at) >= 0).any()):
            yield PARTS_OF_LOSS["sections"] * functional.cross_entropy(
                odds[:, TOPICS:], both("phase", at), ignore_index=-100)
    odds = read("tags", [_token_view(t) for _, t in found], TAG_DROPOUT)
    yield PARTS_OF_LOSS["tags"] * _mean(
        functional.cross_entropy(odds, both("tags", sessions), reduction="none"), both("tag_weights", sessions))
    told = [(v, t, s) for (v, t), s in zip(found, sessions, strict=True) if len(s.mentions)]
    if told:
        rows = [_mention_view(v, t, s) for v, t, s in told]
        at = [s for *_, s in told]
        mentions = both("mentions", at)
        yield PARTS_OF_LOSS["status"] * _mean(
            functional.cross_entropy(read("status", rows, LAYER_DROPOUT), mentions[:, 2], reduction="none"),
            both("mention_weights", at))
        if bool((mentions[:, 3] >= 0).any()):
            yield PARTS_OF_LOSS["intensity"] * functional.cross_entropy(
                read("intensity", rows, LAYER_DROPOUT), mentions[:, 3], ignore_index=-100)
    yield from _told(read, sessions, found)


def _told(
    read: Callable[[str, Sequence[torch.Tensor], float], torch.Tensor], sessions: Sequence[_Loaded],
    found: Sequence[tuple[torch.Tensor, torch.Tensor]],
) -> Iterator[torch.Tensor]:
    """Numbers and names, drinks and foods, acts: each read off the vectors that the program's own readers look at."""

    def both(name: str) -> torch.Tensor:
        return torch.cat([getattr(s, name) for s in sessions])

    if len(both("named")):
        rows = [functional.normalize(s.numbers @ t, dim=1) * VECTOR_SCALE
                for (_, t), s in zip(found, sessions, strict=True)]
        yield PARTS_OF_LOSS["named"] * functional.cross_entropy(read("named", rows, TAG_DROPOUT), both("named"))
    odds = read("wanted", [t * TOKEN_SCALE for _, t in found], TAG_DROPOUT)
    yield PARTS_OF_LOSS["wanted"] * _mean(
        functional.cross_entropy(odds, both("wanted"), reduction="none"), both("wanted_weights"))
    for n, told in enumerate(both("acts").T):
        if bool((told >= 0).any()):
            odds = read(f"acts {n}", [v * VECTOR_SCALE for v, _ in found], TAG_DROPOUT)
            yield PARTS_OF_LOSS["acts"] * functional.cross_entropy(odds, told, ignore_index=-100)


def fit(bert: Bert, materials: Sequence[Material], device: str, seed: int = 0) -> Tensors:
    """Thin matrices NAME.down and NAME.up learned from the sessions; the same on one kind of machine each time."""
    torch.manual_seed(seed)
    order_of = np.random.default_rng(seed)
    sessions = [_loaded(m, device) for m in materials]
    changes = thin(bert, RANK, torch.Generator().manual_seed(seed))
    layers = _layers(sessions[0].extra.shape[1], device)
    learned = [*changes.values(), *layers.values()]
    optimiser = torch.optim.AdamW([
        {"params": list(changes.values()), "lr": RATE, "weight_decay": 0.0},
        {"params": list(layers.values()), "lr": LAYER_RATE, "weight_decay": DECAY},
    ])
    steps = EPOCHS * math.ceil(len(sessions) / SESSIONS)
    rate = torch.optim.lr_scheduler.LambdaLR(
        optimiser, lambda n: min(1.0, (n + 1) / (WARM * steps)) * max(0.0, (steps - n) / steps))
    for _ in range(EPOCHS):
        order = order_of.permutation(len(sessions))
        for begin in range(0, len(order), SESSIONS):
            batch = [sessions[i] for i in order[begin : begin + SESSIONS]]
            found = _vectors(bert, changes, batch, DROPOUT)
            loss = torch.stack(list(_losses(layers, batch, found))).sum()
            optimiser.zero_grad()
            loss.backward()
            torch.nn.utils.clip_grad_norm_(learned, 1.0)
            optimiser.step()
            rate.step()
    return {name: x.detach() for name, x in changes.items()}
