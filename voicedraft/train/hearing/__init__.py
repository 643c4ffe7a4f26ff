"""Makes the hearing weights: what the speech model base has learned of the trade's words.

    python -m voicedraft.train hearing                               all of it; many hours without an accelerator
    python -m voicedraft.train.hearing --speak FOLDER GOLD...        only choose texts and have them spoken
    python -m voicedraft.train.hearing --from FOLDER [--device cuda] only fit, where there is an accelerator
    python -m voicedraft.train.hearing --mean FILE FILE              only take the mean of fits

Texts: sessions of `own`, `short`, `marks` and `mended_on` (never of `sessions`, which is what is heard in the
figures, nor of `held_back`), names of the lexicon put into such sentences, and ordinary speech with words that sound
like the trade's (`data/hearing/ordinary.txt`). Voices: none of those in the figures; see `voices.py`. What it needs:
the extra `train-encoder` (PyTorch), espeak-ng, festival with its voices kal and ked, sox, and for neural voices what
`voices.py` names (and the package onnx). A small fit made twice on one card gave the same bytes. The shipped weights
are one fit with the present settings on 34.7 hours: Kokoro 20.4, espeak-ng and festival 14.4; sessions 15.4, names
7.5, ordinary speech 11.8 with 2,600 sentences of Debian's fortunes (`--more`). The sound was made on an accelerator
by these voices, under a time limit, moved to RATE by SciPy's resampler, and not kept: the command makes its like, not
its bytes.
"""

from __future__ import annotations

import random

RATE = 16_000
"""Samples a second that Whisper was trained on (Radford et al. 2022, section 2.2)."""


def dice(seed: int) -> random.Random:
    """Chance that falls the same each time."""
    return random.Random(seed)  # noqa: S311
