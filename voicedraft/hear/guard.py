"""Nothing may be heard that was not said: what the model wrote is believed, heard again, or thrown out.

The three thresholds are those of Radford et al. 2022, section 4.5 (no-speech probability 0.6, mean log probability -1,
compression ratio 2.4); the rest are our own, set on noises of our own making.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from voicedraft.hear.recognise import HeardWord, Result
from voicedraft.hear.windows import Window

Verdict = Literal["keep", "again", "drop"]

SILENCE, UNSURE, REPEATS = 0.6, -1.0, 2.4
FASTEST = 7.5
"""Words a voiced second that nobody speaks; auctioneers reach about 6 (from memory)."""
SLOWEST, SLOW_S = 1.2, 8.0
"""Words a voiced second, and voiced seconds of a window that may be judged by them: with fewer words a passage was left
out. Slow reading has about 1.7 (100 words a minute, from memory)."""
SHORT_S, SHORT_UNSURE = 3.0, -0.75
"""A window with less speech than this must be surer: coughs and clatter pass for a word or two."""
ECHO = 3
"""Phrases of the prompt in the prompt's order, one after the other, that nobody says by chance."""
UNHEARD = 0.03
"""A word of the prompt with less probability, judged by the sound alone, was read from the prompt. Of 413 such words
in eleven synthesised sessions 397 were said, none of them below 0.04; of the 16 that were not, three were below."""

# What Whisper writes over noise, by its users' and makers' account (from memory, no source).
_GHOSTS = frozenset((
    "you", "thank you", "thank you very much", "thanks for watching", "thank you for watching", "bye", "bye bye",
    "please subscribe", "i'll see you next time", "see you next time", "the end", "music", "applause", "silence", "so",
    "oh", "uh", "ah", "hmm", "mm", "okay", "beep", "ssss", "shhh",
))


def judge(result: Result, window: Window, told: Sequence[str]) -> Verdict:
    """What to do with the first hearing of a window. told: the words in its prompt, in order."""
    if not result.text or (result.silence > SILENCE and result.log_probability < UNSURE):
        return "drop"
    if ghost(result.text) and (window.voiced < SHORT_S or result.silence > 0.3):
        return "drop"
    if result.repetition > REPEATS or result.log_probability < UNSURE or echoes(result.text, told):
        return "again"
    if len(result.text.split()) > FASTEST * max(window.voiced, 0.5) + 2:
        return "again"
    if window.voiced < SHORT_S and result.log_probability < SHORT_UNSURE:
        return "again"
    return "keep"


def sparse(words: Sequence[HeardWord], window: Window) -> bool:
    """Whether so few words stand for so much speech that some of it must have been left out."""
    return window.voiced >= SLOW_S and len(words) < SLOWEST * window.voiced


def put_in(words: Sequence[HeardWord], told: Sequence[str]) -> bool:
    """Whether a word of the prompt stands among the words of a window though the sound does not bear it out."""
    prompted = {w for phrase in told for w in _bare(phrase).split() if len(w) > 3}
    return any(w.probability < UNHEARD and _bare(w.text) in prompted for w in words)


def _bare(text: str) -> str:
    return " ".join(re.sub(r"[^a-z0-9 ]+", " ", text.lower()).split())


def judge_again(result: Result, window: Window) -> bool:
    """Whether a second hearing, without a prompt, may stand."""
    if not result.text or ghost(result.text) or result.repetition > REPEATS:
        return False
    if len(result.text.split()) > FASTEST * max(window.voiced, 0.5) + 2:
        return False
    least = SHORT_UNSURE if window.voiced < SHORT_S else UNSURE
    return result.log_probability >= least or (result.silence < 0.3 and result.log_probability >= least - 0.5)


def ghost(text: str) -> bool:
    """Whether the text is only what the model is known to write over noise."""
    bare = " ".join(re.sub(r"[^a-z' ]+", " ", text.lower()).split())
    return bare in _GHOSTS or (not bare and not any(c.isdigit() for c in text))


def echoes(text: str, told: Sequence[str]) -> bool:
    """Whether the prompt is read back: ECHO of its phrases in its own order with nothing between."""
    bare, words = f" {_bare(text)} ", [_bare(w) for w in told]
    return any(f" {' '.join(words[i : i + ECHO])} " in bare for i in range(len(words) - ECHO + 1))
