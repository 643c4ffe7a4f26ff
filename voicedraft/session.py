"""One session through the house: hear, read, draft, write."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from voicedraft.correct.journal import JOURNAL
from voicedraft.draft.compose import compose
from voicedraft.draft.document import Review
from voicedraft.draft.explain import EVIDENCE, collect
from voicedraft.draft.write import FILES, READING, SOURCES, to_json, write_draft, write_text
from voicedraft.errors import InputError, OutputError
from voicedraft.hear import HearOptions, hear, source_paths
from voicedraft.hear.inputs import timed_text_of
from voicedraft.hear.memory import one_heap
from voicedraft.lexicon import load_lexicon
from voicedraft.paths import user_lexicon
from voicedraft.progress import Progress, RichProgress, SilentProgress
from voicedraft.read import Weights, read
from voicedraft.read.sections import SectionWeights, shipped
from voicedraft.types import Transcript


@dataclass(frozen=True, slots=True)
class DraftOptions:
    """What a user may choose of a draft; see `voicedraft draft --help`."""

    model: str = "base"
    start: tuple[str, ...] = ()
    cigar: str = ""
    device: str = "auto"
    compute: str = ""
    use_cache: bool = True


@dataclass(frozen=True, slots=True)
class DraftResult:
    """The review, its folder and the files written for reading."""

    review: Review
    directory: Path
    files: tuple[Path, ...]
    unplaced: tuple[str, ...] = ()
    """Corrections of an earlier draft in the folder whose words are no longer there."""


def draft_session(
    inputs: Sequence[Path], directory: Path, options: DraftOptions, show_progress: bool = True
) -> DraftResult:
    """Drafts a review from recordings or a timed transcript, and writes it to `directory`.

    Raises the errors of each room (all VoicedraftError). Nothing is written before everything is read.
    """
    for path in (*inputs, directory):
        check_name(path)
    check_directory(directory)
    lexicon = load_lexicon(user_lexicon())
    hear_options = HearOptions(
        model=options.model, start=options.start, cigar=options.cigar, device=options.device,
        compute=options.compute, use_cache=options.use_cache,
    )
    progress: Progress = RichProgress() if show_progress else SilentProgress()
    if timed_text_of(inputs) is None:
        one_heap()  # Before the thread that shows the progress is started.
    with progress:
        transcript = hear(inputs, hear_options, lexicon, progress)
    reading = read(transcript, lexicon, Weights(sections=_learned()))
    unsure = [p.id for p in reading.passages if p.confidence < shipped().look_first]
    review = compose(reading, unsure)
    paths = source_paths(inputs, transcript)
    links = sound_links(paths, directory)
    unplaced: tuple[str, ...] = ()
    if (directory / JOURNAL).exists():
        from voicedraft.correct.session import reapply
        from voicedraft.correct.telling import tell

        done = reapply(directory, review, links)
        review, unplaced = done.review, tuple(f"{tell(lost.event)}: {lost.reason}" for lost in done.unplaced)
        files = [directory / name for name in FILES]
    else:
        files = write_draft(review, directory, links)
        write_text(directory / READING, to_json(review))
    write_text(directory / EVIDENCE, json.dumps(collect(reading), ensure_ascii=False) + "\n")
    write_text(directory / SOURCES, json.dumps(_sources(transcript, paths), ensure_ascii=False, indent=1) + "\n")
    return DraftResult(review, directory, tuple(files), unplaced)


def _learned() -> SectionWeights | None:
    """Section weights of the user's own. The room of corrections is loaded only where something was learned."""
    if not user_lexicon().exists():
        return None
    from voicedraft.correct.learning import user_weights

    return user_weights()


def check_name(path: Path) -> None:
    """Raises InputError where a file's name is not text: neither a draft nor a link could name it."""
    try:
        str(path).encode("utf-8")
    except UnicodeEncodeError:
        shown = str(path).encode("utf-8", "replace").decode()
        raise InputError(f"The name of {shown} is not valid text. Rename the file and try again.") from None


def check_directory(directory: Path) -> None:
    """Raises OutputError where a draft cannot go to `directory`; makes nothing."""
    if directory.exists() and not directory.is_dir():
        raise OutputError(f"{directory} is a file, not a folder. Choose another --output.")
    parent = next((p for p in (directory, *directory.parents) if p.exists()), directory)
    if not parent.is_dir() or not os.access(parent, os.W_OK | os.X_OK):
        raise OutputError(f"{directory} cannot be written. Choose another --output.")


def sound_links(paths: Mapping[int, Path], directory: Path) -> dict[int, str]:
    """Take number → link from the draft's folder to its recording, percent-encoded as a URL path wants."""
    from urllib.parse import quote

    links = {}
    for number, path in paths.items():
        relative = os.path.relpath(path.resolve(), directory.resolve())
        links[number] = quote(Path(relative).as_posix())
    return links


def _sources(transcript: Transcript, paths: Mapping[int, Path]) -> dict[str, object]:
    return {
        "takes": [
            {"number": t.number, "path": str(paths[t.number].resolve()), "digest": t.digest}
            for t in transcript.takes if t.number in paths
        ]
    }
