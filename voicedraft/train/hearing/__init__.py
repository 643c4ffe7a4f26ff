"""Makes the hearing weights: what the speech model base has learned of the trade's words.

    python -m voicedraft.train hearing                               all of it; many hours without an accelerator
    python -m voicedraft.train.hearing --speak FOLDER GOLD...        only choose texts and have them spoken
    python -m voicedraft.train.hearing --from FOLDER [--device cuda] only fit, where there is an accelerator
    python -m voicedraft.train.hearing --mean FILE FILE              only take the mean of fits

Texts: sessions of `own`, `short`, `marks` and `mended_on` (never of `sessions`, which is what is heard in the
figures, nor of `held_back`), names of the lexicon put into such sentences, and ordinary speech with words that sound
like the trade's (`data/hearing/ordinary.txt`). Voices: none of those in the figures; see `voices.py`. What it needs:
the extra `train-encoder` (PyTorch), espeak-ng, festival with its voices kal and ked, sox, ttspico, and for neural
voices what `voices.py` names (and the package onnx). With several cards:

    torchrun --nproc-per-node 4 -m voicedraft.train.hearing --from FOLDER --device cuda

The shipped weights are one fit with the present settings by four processes (two rounds, 400 s on four H200) on 68.8
hours: Kokoro 42.0, espeak-ng and festival 23.3, pico 3.5, of 17,074 runs of sentences (`--more`: 2,600 sentences of
Debian's fortunes). The sound was made on an accelerator in 5 minutes, pico's spoken beside and carried as Opus, and not
kept: the command makes its like, not its bytes.
"""

from __future__ import annotations

import random

RATE = 16_000
"""Samples a second that Whisper was trained on (Radford et al. 2022, section 2.2)."""


def dice(seed: int) -> random.Random:
    """Chance that falls the same each time."""
    return random.Random(seed)  # noqa: S311
