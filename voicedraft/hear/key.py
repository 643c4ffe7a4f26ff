"""The key under which a hearing is kept: all that decides what is heard, files by what they hold."""

from __future__ import annotations

from voicedraft.hear import bias, doubt, habit
from voicedraft.hear.options import HearOptions
from voicedraft.hear.recognise import BEAM
from voicedraft.hear.store import settings_key
from voicedraft.lexicon import Lexicon


def hearing_key(
    options: HearOptions, lexicon: Lexicon, model: str, compute: str, taught: str = "", vocabulary: str = ""
) -> str:
    """Sixteen hexadecimal digits. model: the model's digest; compute: its number format; taught: names what it has
    learned of the trade, "" for nothing; vocabulary: names what is left of its own, "" for all.

    Raises ModelError where the file of counted neighbouring words cannot be read.
    """
    told = counted = ""
    if options.bias:
        told = bias.fingerprint(lexicon, options.cigar) + doubt.fingerprint(lexicon)
        counted = habit.fingerprint(options.habit or habit.FILE)
    return settings_key({"model": model, "language": options.language, "beam": BEAM, "bias": told, "compute": compute,
                         "habit": counted, "taught": taught, "vocabulary": vocabulary})
