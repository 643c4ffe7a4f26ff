"""Fits the changes: right words for trade speech, no other than before for ordinary speech and noise."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import islice

import torch
from torch import distributed
from torch.nn import functional

from voicedraft.errors import ModelError
from voicedraft.train.hearing import RATE, dice
from voicedraft.train.hearing.whisper import (
    EOT,
    FRAMES,
    MELS,
    NO_SPEECH,
    PREFIX,
    PREVIOUS,
    Tensors,
    Whisper,
    decode,
    encode,
    features,
    odds,
    thin,
)
from voicedraft.train.hearing.windows import BEYOND_S, LEAST_S, Room, Spoken, Told, Window, windows


@dataclass(frozen=True)
class Settings:
    """How the model learns; tried beside it (benchmarks/NOTES.md): the encoder as it came, 4 and 16 directions of it,
    16 and 24 of the decoder, three and four rounds and a lower rate, judged by kept speakers; 48 of the decoder with
    less hold, judged by the voices of the figures and ordinary speech."""

    rank: int = 32
    rank_sound: int = 8
    """Of the encoder's changes; 0 leaves it as it came."""
    rounds: int = 2
    batch: int = 64
    """Windows of a step, of all processes together."""
    rate: float = 8e-4
    decay: float = 0.02
    dropout: float = 0.1
    near: float = 0.1
    """Share of staying near the model as it came on trade speech; on ordinary speech and noise it is all there is."""
    ordinary: float = 1.0
    silent: float = 0.08
    hold: float = 1.0
    """Share of what the encoder makes of the window staying near what it made of the clean one as it came."""
    warped: float = 0.5
    """Share of windows whose bands are moved up or down by up to WARP, much as other throats would (after vocal tract
    length perturbation, Jaitly and Hinton 2013, which moves pitches; bands are closer together the higher they are)."""
    masked: float = 0.6
    """Share of windows with bands left out (Park et al. 2019, SpecAugment; moments are never left out, so that no word
    is asked for that cannot be heard) or smeared in time."""
    seed: int = 1


AHEAD = 3
"""Batches made while one is learned from: making them takes as long."""
WARP = 0.12
"""Share of a band's number by which it is moved: as much of its pitch below 1 kHz, three times as much at 5 kHz. Our
own choice, near what the vowels of adults differ by (from memory)."""


@dataclass(frozen=True)
class Batch:
    """`bands`: features of the windows in their places, `clean` of what was said in them. `pieces`: (windows, most)
    with the prompt; `wanted`: the piece after each, -100 where none counts; `plain` and `plain_wanted` the same
    without a prompt. `keep`: windows on which the model as it came is right."""

    bands: torch.Tensor
    clean: torch.Tensor
    pieces: torch.Tensor
    wanted: torch.Tensor
    plain: torch.Tensor
    plain_wanted: torch.Tensor
    keep: torch.Tensor


class Maker:
    """Batches of windows of about one length."""

    def __init__(self, encode_text: Callable[[str], list[int]], filters: torch.Tensor, device: str) -> None:
        self._encode, self._filters, self._device = encode_text, filters, device

    def __call__(self, found: Sequence[Window], room: Room, whole: bool) -> Batch:
        placed = [room(w.sound) for w in found]
        lengths = torch.tensor([len(said) for _, said in placed], device=self._device)
        longest = int(lengths.max())
        seconds = 30.0 if whole else max(LEAST_S, longest / RATE + BEYOND_S)
        frames = min(FRAMES, round(seconds * 50) * 2)
        bands, clean = (
            features(torch.stack([functional.pad(s[side], (0, longest - len(s[side]))) for s in placed]),
                     lengths, self._filters, frames) for side in (0, 1))
        pieces, wanted = self._rows([(w.told, w.text) for w in found])
        plain, plain_wanted = self._rows([("", w.text) for w in found])
        keep = torch.tensor([w.kind in ("ord", "none") for w in found], device=self._device)
        return Batch(bands, clean, pieces, wanted, plain, plain_wanted, keep)

    def _rows(self, told_and_text: Sequence[tuple[str, str]]) -> tuple[torch.Tensor, torch.Tensor]:
        rows = []
        for told, text in told_and_text:
            before = [PREVIOUS, *self._encode(" " + told)[:223], *PREFIX] if told else list(PREFIX)
            said = self._encode(" " + text)[:200] if text else []
            wanted = [-100] * (len(before) - 1) + [*said, EOT]
            wanted[len(before) - len(PREFIX)] = NO_SPEECH  # Marks the place where speech itself is judged.
            rows.append(([*before, *said][:447], wanted[:447]))
        most = max(len(p) for p, _ in rows)
        pieces = torch.tensor([[*p, *[EOT] * (most - len(p))] for p, _ in rows], device=self._device)
        wanted = torch.tensor([[*w, *[-100] * (most - len(w))] for _, w in rows], device=self._device)
        return pieces, wanted


def batches(
    spoken: Sequence[Spoken], told: Told, maker: Maker, settings: Settings, turn: int, device: str
) -> tuple[int, Iterator[Batch]]:
    """One round over everything, windows of like length together: how many batches, and they."""
    draw = dice(settings.seed * 1000 + turn)
    room = Room(device, settings.seed * 1000 + turn)
    masks = Masks(settings, turn)
    found = list(windows(spoken, told, draw, settings.silent))
    pools = [sorted(found[i : i + 16 * settings.batch], key=lambda w: len(w.sound))
             for i in range(0, len(found), 16 * settings.batch)]
    groups = [p[i : i + settings.batch] for p in pools for i in range(0, len(p), settings.batch)]
    draw.shuffle(groups)
    return len(groups), (masks(maker(group, room, draw.random() < 0.2)) for group in groups)


class Masks:
    """Leaves out bands of some windows and smears others."""

    def __init__(self, settings: Settings, turn: int) -> None:
        self._draw = dice(settings.seed * 1000 + 500 + turn)
        self._share, self._warped = settings.masked, settings.warped

    def __call__(self, batch: Batch) -> Batch:
        bands = batch.bands
        for n in range(len(bands)):
            if self._draw.random() < self._warped:
                bands[n] = _warp(bands[n], self._draw.uniform(1 - WARP, 1 + WARP))
            if self._draw.random() < self._share:
                for _ in range(self._draw.randrange(1, 3)):
                    size = self._draw.randrange(2, 11)
                    first = self._draw.randrange(MELS - size)
                    bands[n, first : first + size] = bands[n].mean()
            if self._draw.random() < self._share / 2:
                bands[n] = functional.avg_pool1d(bands[n], 3, 1, 1)
        return batch


def _warp(bands: torch.Tensor, by: float) -> torch.Tensor:
    """(MELS, frames) with what is in band n moved to band n times `by`; bands that nothing comes to have the window's
    least, behind the sound too."""
    moved = functional.interpolate(bands.T[None], size=round(MELS * by), mode="linear")[0].T[:MELS]
    return functional.pad(moved, (0, 0, 0, MELS - len(moved)), value=float(bands.min()))


def loss_of(model: Whisper, changes: Tensors, batch: Batch, settings: Settings) -> torch.Tensor:
    """Cross entropy of trade speech, and distance from the model as it came: of all where it is right, and everywhere
    at the place where speech is judged. The model as it came hears the clean sound and has no prompt, so that neither
    noise nor a prompt adds words."""
    with torch.no_grad():
        clean = encode(model, batch.clean)
        before = decode(model, None, clean, batch.plain)
        was = functional.log_softmax(odds(model, before[batch.plain_wanted >= 0]).float(), -1)
    at = batch.wanted >= 0
    sound = encode(model, batch.bands, changes, settings.dropout)
    now = functional.log_softmax(
        odds(model, decode(model, changes, sound, batch.pieces, settings.dropout)[at]).float(), -1)
    wanted = batch.wanted[at]
    keep = batch.keep[:, None].expand_as(at)[at]
    judged = wanted == NO_SPEECH
    apart = (was.exp() * (was - now)).sum(-1)
    right = -now.gather(1, wanted[:, None])[:, 0]
    each = torch.where(keep | judged, settings.ordinary * apart, right + settings.near * apart)
    return each.mean() + settings.hold * functional.mse_loss(sound.float(), clean.float())


def fit(
    model: Whisper, spoken: Sequence[Spoken], told: Told, maker: Maker, settings: Settings, device: str,
    after: Callable[[int, Tensors], None] | None = None,
) -> Tensors:
    """Thin matrices learned from what was spoken. One process learned the same twice on one card; several were not
    tried twice. after(turn, changes). Raises ModelError where there is less than a batch for each process.

    Where torch.distributed is set up, each process learns from its own part of what was spoken and all take the mean
    of their steps.
    """
    place, places = (distributed.get_rank(), distributed.get_world_size()) if distributed.is_initialized() else (0, 1)
    own = replace(settings, seed=settings.seed + 100 * place, batch=max(1, settings.batch // places))
    torch.manual_seed(own.seed)
    changes = thin(model, (settings.rank_sound, settings.rank), torch.Generator().manual_seed(settings.seed))
    optimiser = torch.optim.AdamW(list(changes.values()), lr=settings.rate, weight_decay=settings.decay,
                                  betas=(0.9, 0.98))
    done = 0
    for turn in range(settings.rounds):
        count, groups = batches(spoken[place::places], told, maker, own, turn, device)
        count = _least(count, device)
        if not count:
            raise ModelError("There is too little sound for so many processes. Give more of it, or start fewer.")
        steps = settings.rounds * count
        for batch in islice(_ahead(groups), count):
            share = min(1.0, (done + 1) / (0.05 * steps)) * max(0.02, (steps - done) / steps)
            for group in optimiser.param_groups:
                group["lr"] = settings.rate * share
            with torch.autocast(device.partition(":")[0], dtype=torch.bfloat16):
                loss = loss_of(model, changes, batch, settings)
            optimiser.zero_grad()
            loss.backward()
            _mean(list(changes.values()), places)
            torch.nn.utils.clip_grad_norm_(list(changes.values()), 1.0)
            optimiser.step()
            done += 1
        if after:
            after(turn, {k: v.detach() for k, v in changes.items()})
    return {name: x.detach() for name, x in changes.items()}


def _ahead(groups: Iterator[Batch]) -> Iterator[Batch]:
    """The batches, the next ones made by another thread while one is learned from."""
    beside = ThreadPoolExecutor(1)
    try:
        coming = deque(beside.submit(next, groups, None) for _ in range(AHEAD))
        while (batch := coming.popleft().result()) is not None:
            coming.append(beside.submit(next, groups, None))
            yield batch
    finally:
        beside.shutdown(cancel_futures=True)


def _least(count: int, device: str) -> int:
    """The least of all processes' counts: none may wait for steps that another does not make."""
    if not distributed.is_initialized():
        return count
    held = torch.tensor(count, device=device)
    distributed.all_reduce(held, distributed.ReduceOp.MIN)
    return int(held)


def _mean(learned: Sequence[torch.Tensor], places: int) -> None:
    if places == 1:
        return
    flat = torch.cat([x.grad.reshape(-1) for x in learned if x.grad is not None]) / places
    distributed.all_reduce(flat)
    at = 0
    for x in learned:
        if x.grad is not None:
            x.grad.copy_(flat[at : at + x.numel()].view_as(x))
            at += x.numel()
