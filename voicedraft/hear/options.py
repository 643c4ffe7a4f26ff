"""What a hearing may be told."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class HearOptions:
    """Settings of one hearing. Each has a sensible default."""

    model: str = "base"
    """A model of the manifest, a folder with a CTranslate2 Whisper model, or a name that faster-whisper knows."""
    device: str = "auto"
    """"auto" takes a GPU where there is one; "cuda" without one falls back to the processor and says so."""
    compute: str = ""
    """Number format of the model, as CTranslate2 names it: float16, int8_float16, int8, float32; "" for the fastest
    that hears as well: float16 on a GPU, int8 on the processor."""
    language: str | None = "en"
    """Language code, or None to let the model tell it from the first speech."""
    start: tuple[str, ...] = ()
    """When takes began: one per take in the order given. "20:01", "20:01:30", an ISO date with time, or "+12:30" for
    minutes and seconds after the first take."""
    cigar: str = ""
    """The cigar's maker and line as the reviewer spells them; their mishearings are set right to it."""
    cache: Path | None = None
    """Folder of cached hearings; None for the user's cache folder."""
    use_cache: bool = True
    """Take a kept hearing of the same sound where there is one. What is heard is kept either way."""
    bias: bool = True
    """Tell the model the trade words to expect."""
    repair: bool = True
    """Set misheard trade words right where sound and context both say so."""
    habit: Path | None = None
    """File of counted neighbouring words in place of the one that comes with the program; to leave a speaker out."""
    taught: bool = True
    """Use what the model base has learned of the trade (`hear/tuned.py`); other models have nothing to use."""
    threads: int = 0
    """Processor threads; 0 for as many as this process may use. More than four are not used."""
