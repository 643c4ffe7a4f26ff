"""Makes the hearing weights: what the speech model base has learned of the trade's words.

    python -m voicedraft.train hearing                               all of it; many hours without an accelerator
    python -m voicedraft.train.hearing --speak FOLDER GOLD...        only choose texts and have them spoken
    python -m voicedraft.train.hearing --from FOLDER [--device cuda] only fit, where there is an accelerator
    python -m voicedraft.train.hearing --mean FILE FILE              only take the mean of fits

Texts: sessions of `own`, `short` and `marks` (never of `sessions`, which is what is heard in the figures, nor of
`held_back`), names of the lexicon put into such sentences, and ordinary speech with words that sound like the
trade's (`data/hearing/ordinary.txt`). Voices: none of those in the figures; see `voices.py`. What it needs: the
extra `train-encoder` (PyTorch), espeak-ng, festival with its voices kal and ked, sox, and for neural voices what
`voices.py` names (and the package onnx). A small fit made twice on one card gave the same bytes. The shipped
weights are the mean (`--mean`) of two fits. The first changed the decoder only, by rank 16 (20.7 hours: espeak-ng
17, festival 2.7, Kokoro 0.9), made before this command had its present form. The second has the present settings
(30.3 hours: Kokoro 19.6, espeak-ng 8.1, festival 2.6 of the first; ordinary speech with 2,600 sentences of
Debian's fortunes, `--more`). Its sound was made on accelerators by these voices, under a time limit, and not kept:
the command makes their like, not their bytes.
"""

from __future__ import annotations

import random

RATE = 16_000
"""Samples a second that Whisper was trained on (Radford et al. 2022, section 2.2)."""


def dice(seed: int) -> random.Random:
    """Chance that falls the same each time."""
    return random.Random(seed)  # noqa: S311
