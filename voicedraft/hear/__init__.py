"""The hear room: from recordings, or a timed transcript, to a `Transcript` of words with times.

takes found and put in order → kept hearings looked up → decode, voice, windows, recognise, guard → session time
→ repair
"""

from __future__ import annotations

import shutil
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from voicedraft.errors import InputError, OutputError, SilentAudioError
from voicedraft.hear import clock
from voicedraft.hear.inputs import Recording, find_recordings, timed_text_of
from voicedraft.hear.options import HearOptions
from voicedraft.hear.timed_text import read_timed_text
from voicedraft.lexicon import Lexicon
from voicedraft.paths import cache_folder
from voicedraft.progress import Progress
from voicedraft.types import Take, Transcript, Word

__all__ = ["HearOptions", "hear", "source_paths"]

_LEAST_SPACE = 20 << 20


def hear(inputs: Sequence[Path], options: HearOptions, lexicon: Lexicon, progress: Progress) -> Transcript:
    """What was said in the inputs: recordings of one session (files or folders), or one .vtt or .srt file.

    Word and take times are seconds from the start of the session's first take; gaps of the clock are kept. A
    second hearing of the same sound with the same settings is read from the cache; an interrupted one goes on.
    Raises InputError (missing, empty, unreadable, mixed), SilentAudioError (no speech in any take), TranscriptError,
    ModelError, OutputError (no space for the cache).
    """
    text = timed_text_of(inputs)
    if text is not None:
        if options.start:
            raise InputError(f"{text.name} is a timed transcript and has its own times. Leave --start out.")
        return read_timed_text(text)
    recordings = find_recordings(inputs, options.start)
    words, lengths, model = _transcribe(recordings, options, lexicon, progress)
    if not any(words):
        names = ", ".join(r.path.name for r in recordings[:3]) + (" and others" if len(recordings) > 3 else "")
        raise SilentAudioError(f"No speech was heard in {names}. Play the recording, check the microphone's level, "
                               "and give a take in which somebody speaks.")
    transcript = _session(recordings, words, lengths, model)
    if not options.repair:
        return transcript
    from voicedraft.hear.repair import repair

    return repair(transcript, lexicon, options.cigar, options.habit)


def source_paths(inputs: Sequence[Path], transcript: Transcript) -> dict[int, Path]:
    """The recording of each take, by take number; empty for a timed transcript. Raises InputError as `hear`."""
    if timed_text_of(inputs) is not None:
        return {}
    by_digest = {r.digest: r.path for r in find_recordings(inputs, ())}
    return {t.number: by_digest[t.digest] for t in transcript.takes if t.digest in by_digest}


def _transcribe(
    recordings: Sequence[Recording], options: HearOptions, lexicon: Lexicon, progress: Progress
) -> tuple[list[list[Word]], list[float], str]:
    """Words of each take in seconds of the take, the lengths of the takes, and the model's name.

    Where the GPU turns out to be of no use, all that is not kept yet is heard on the processor, and that is said.
    """
    from voicedraft.hear.speech_model import DeviceError

    try:
        return _transcribe_on(recordings, options, lexicon, progress)
    except DeviceError as error:
        progress.say(f"{error} The processor is used instead.")
        return _transcribe_on(recordings, replace(options, device="cpu", compute=""), lexicon, progress)


def _transcribe_on(
    recordings: Sequence[Recording], options: HearOptions, lexicon: Lexicon, progress: Progress
) -> tuple[list[list[Word]], list[float], str]:
    from voicedraft.hear import english
    from voicedraft.hear.key import hearing_key
    from voicedraft.hear.memory import kept_for_reuse
    from voicedraft.hear.recognise import Recogniser
    from voicedraft.hear.speech_model import choose_device, find_speech_model
    from voicedraft.hear.store import Store
    from voicedraft.hear.transcribe import TakeState, Transcription
    from voicedraft.hear.tuned import fingerprint, for_model

    model = find_speech_model(options.model)
    device = choose_device(options.device, options.threads, progress, options.compute)
    tuned = for_model(model.folder) if options.taught else None
    taught = fingerprint() if tuned else ""
    left = english.for_model(model.folder) if options.language == "en" else None
    folder = options.cache or cache_folder()
    key = hearing_key(options, lexicon, model.digest, device.compute, taught, english.fingerprint() if left else "")
    store = Store(folder, key, options.use_cache)
    count = max(1, len(recordings) - 1)
    takes = [TakeState(i + 1, r, i / count, done=store.finished(r.digest)) for i, r in enumerate(recordings)]
    progress.begin("Hearing", sum(r.seconds for r in recordings))
    for take in takes:
        if take.done is not None:
            progress.advance(take.recording.seconds)
    waiting = [t for t in takes if t.done is None]
    if waiting:
        _need_space(folder)
        for take in waiting:
            take.kept = store.windows(take.recording.digest)
        with kept_for_reuse() if device.kind == "cpu" else nullcontext():
            Transcription(
                takes, store, Recogniser(model, device, options.language, tuned, left), lexicon, progress,
                cigar=options.cigar, biased=options.bias, habit=options.habit,
            ).run()
        if store.failed is not None:
            progress.say(f"What was heard cannot be kept for the next time ({store.failed.strerror}: {folder}).")
    lengths = [t.recording.seconds or t.seconds for t in takes]
    heard = [
        [Word(w.text, w.start, w.end, t.number, w.text, w.probability) for w in (t.done.words if t.done else ())]
        for t in takes
    ]
    return heard, lengths, f"{model.name}, taught the trade ({taught})" if taught else model.name


def _need_space(folder: Path) -> None:
    existing = next(p for p in (folder, *folder.resolve().parents) if p.exists())
    free = shutil.disk_usage(existing).free
    if free < _LEAST_SPACE:
        raise OutputError(f"There are {free >> 20} MB free for the cache in {folder}, {_LEAST_SPACE >> 20} are needed. "
                          "Make room, or set VOICEDRAFT_CACHE to another folder.")


def _session(
    recordings: Sequence[Recording], words: Sequence[Sequence[Word]], lengths: Sequence[float], model: str
) -> Transcript:
    """Takes and words in session time."""
    starts = session_starts([r.clock for r in recordings], lengths)
    takes = tuple(
        Take(i + 1, round(starts[i], 3), round(starts[i] + lengths[i], 3), r.path.name, r.clock if r.dated else None,
             r.digest)
        for i, r in enumerate(recordings)
    )
    moved = tuple(
        Word(w.text, round(w.start + starts[i], 3), round(w.end + starts[i], 3), w.take, w.heard, w.probability)
        for i, take in enumerate(words) for w in take
    )
    return Transcript(moved, takes, model=model)


def session_starts(clocks: Sequence[datetime | None], lengths: Sequence[float]) -> list[float]:
    """Session seconds at which each take starts: the clock's difference to the first, never before the last one ended.

    Takes without a clock, or after a first take without one, follow one another with no gap.
    """
    out: list[float] = []
    end = 0.0
    first = clocks[0] if clocks else None
    for moment, length in zip(clocks, lengths, strict=True):
        start = end
        if first is not None and moment is not None:
            begin, now = clock.comparable([first, moment])
            start = max(end, (now - begin).total_seconds())
        out.append(start)
        end = start + length
    return out
