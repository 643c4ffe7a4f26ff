"""Takes to words: the next take is searched for speech, and the next window encoded, while this one is heard.

One thread reads (decode, voice, windows), one encodes, the caller's thread decodes. Windows decoded together are
guarded and kept before the next begins: a stop loses no more than those.
"""

from __future__ import annotations

import contextlib
import queue
import threading
from collections import deque
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path

from voicedraft.hear import bias, guard
from voicedraft.hear.decode import RATE, Samples, stream
from voicedraft.hear.inputs import Recording
from voicedraft.hear.recognise import SECOND_BEAM, Encoded, HeardWord, Recogniser, Result
from voicedraft.hear.second import SecondHearing
from voicedraft.hear.store import Store
from voicedraft.hear.voice import find_speech
from voicedraft.hear.windows import Window, pack
from voicedraft.lexicon import Lexicon
from voicedraft.progress import Progress

TOGETHER = {"cpu": 1, "cuda": 4}
"""Windows decoded together, and lost together when the machine stops. On the processor one costs no more than four
(benchmarks/NOTES.md); a GPU wants several."""
ENCODED = 2
"""Windows encoded, or being so, while one is decoded."""
AHEAD = 4
"""Windows that may wait while the model works: about two minutes of speech, 8 MB."""
AGAIN_TEMPERATURES = (0.0, 0.4)
"""A window heard again is decoded as before but without a prompt, then once with sampling; the surer one counts."""


@dataclass
class TakeState:
    """A take on its way. `seconds` is its length once it was read; `words` are in seconds of the take."""

    number: int
    recording: Recording
    place: float
    kept: dict[str, list[HeardWord]] = field(default_factory=dict)
    heard: dict[int, list[HeardWord]] = field(default_factory=dict)
    expected: int = -1
    seconds: float = 0.0
    words: list[HeardWord] | None = None
    told: float = 0.0

    def spoken(self) -> list[HeardWord]:
        """The words heard so far, in order."""
        return [w for index in sorted(self.heard) for w in self.heard[index]]

    def complete(self) -> bool:
        """Whether every window was heard."""
        return self.expected >= 0 and len(self.heard) == self.expected


@dataclass(frozen=True, slots=True)
class _End:
    take: TakeState
    windows: int
    seconds: float


@dataclass(frozen=True, slots=True)
class _Failed:
    error: BaseException


_Item = tuple[TakeState, Window] | _End | _Failed | None
_Coming = tuple[TakeState, Window, "Future[Encoded] | None"]


class Transcription:
    """One hearing of several takes. The recogniser is made only when something is left to hear."""

    def __init__(
        self, takes: Sequence[TakeState], store: Store, recogniser: Recogniser, lexicon: Lexicon, progress: Progress,
        *, cigar: str, biased: bool, habit: Path | None = None,
    ) -> None:
        self._takes, self._store, self._recogniser = takes, store, recogniser
        self._lexicon, self._progress, self._cigar, self._biased = lexicon, progress, cigar, biased
        self._second = SecondHearing(recogniser, lexicon, habit)
        self._queue: queue.Queue[_Item] = queue.Queue(maxsize=AHEAD)
        self._stop = threading.Event()
        self._together = TOGETHER[recogniser.device.kind]

    def run(self) -> None:
        """Hear every take; its words are in `take.words` after this. Raises InputError where a take cannot be read."""
        reader = threading.Thread(target=self._read, name="voicedraft-reader", daemon=True)
        encoder = ThreadPoolExecutor(1, "voicedraft-encoder")
        reader.start()
        try:
            self._run(encoder)
        finally:
            self._stop.set()
            encoder.shutdown(cancel_futures=True)
            while reader.is_alive():
                with contextlib.suppress(queue.Empty):
                    self._queue.get(timeout=0.05)
            reader.join()

    def _run(self, encoder: ThreadPoolExecutor) -> None:
        coming: deque[_Coming] = deque()
        more = True
        while more or coming:
            while more and len(coming) < self._together + ENCODED:
                try:
                    item = self._queue.get(block=len(coming) < self._together)
                except queue.Empty:
                    break
                if isinstance(item, _Failed):
                    raise item.error
                if isinstance(item, _End):
                    item.take.expected, item.take.seconds = item.windows, item.seconds
                    self._settle(item.take)
                elif item is None:
                    more = False
                else:
                    take, window = item
                    kept = window.key in take.kept
                    coming.append((take, window, None if kept else encoder.submit(self._recogniser.encode, window)))
            self._next(coming)

    def _next(self, coming: deque[_Coming]) -> None:
        """Take what was kept before, or hear the windows that come next, as many as are decoded together."""
        group: list[tuple[TakeState, Window, Encoded]] = []
        while coming and len(group) < self._together:
            take, window, encoded = coming[0]
            if encoded is None and group:
                break
            coming.popleft()
            if encoded is None:
                self._place(take, window, take.kept[window.key])
                return
            group.append((take, window, encoded.result()))
        if group:
            self._hear(group)

    # The reading thread --------------------------------------------------------------------------------------------

    def _read(self) -> None:
        try:
            for take in (t for t in self._takes if t.words is None):
                count, length = 0, _Counter(stream(take.recording.path), self._stop)
                for window in pack(take.number, find_speech(iter(length))):
                    count += 1
                    if not self._put((take, window)):
                        return
                if self._stop.is_set() or not self._put(_End(take, count, length.samples / RATE)):
                    return
            self._put(None)
        except BaseException as error:
            self._put(_Failed(error))

    def _put(self, item: _Item) -> bool:
        while not self._stop.is_set():
            try:
                self._queue.put(item, timeout=0.1)
                return True
            except queue.Full:
                continue
        return False

    # The hearing thread --------------------------------------------------------------------------------------------

    def _hear(self, group: list[tuple[TakeState, Window, Encoded]]) -> None:
        told = self._told(group[0][0])
        seconds = [window.seconds for _, window, _ in group]
        results, stored = self._recogniser.decode([e for _, _, e in group], seconds, bias.prompt(told))
        verdicts = [guard.judge(r, w, told) for r, (_, w, _) in zip(results, group, strict=True)]
        kept = [r if v == "keep" else _nothing(r) for r, v in zip(results, verdicts, strict=True)]
        aligned = self._recogniser.align(stored, kept) if any(r.tokens for r in kept) else [[] for _ in kept]
        for (take, window, encoded), words, verdict in zip(group, aligned, verdicts, strict=True):
            if verdict == "again":
                words = self._again(window, encoded)
            elif words and guard.sparse(words, window):
                words = max(words, self._again(window, encoded), key=len)
            elif guard.put_in(words, told):
                words = self._again(window, encoded) or words
            elif words and self._biased:
                words = self._second(words, window, encoded, told)
            self._keep(take, window, words)

    def _again(self, window: Window, encoded: Encoded) -> list[HeardWord]:
        """A second hearing of a doubtful window, alone and without a prompt; nothing where it is no better."""
        best: tuple[Result, object] | None = None
        for temperature in AGAIN_TEMPERATURES:
            results, stored = self._recogniser.decode([encoded], [window.seconds], "", SECOND_BEAM, temperature)
            if guard.judge_again(results[0], window):
                best = (results[0], stored)
                break
        if best is None:
            return []
        return self._recogniser.align(best[1], [best[0]])[0]

    def _told(self, take: TakeState) -> list[str]:
        if not self._biased:
            return []
        before = [w.text for t in self._takes if t.number < take.number for w in t.words or ()]
        named = bias.named_terms(self._lexicon, [*before, *(w.text for w in take.spoken())])
        return bias.bias_words(self._lexicon, take.place, self._cigar, named)

    def _keep(self, take: TakeState, window: Window, words: list[HeardWord]) -> None:
        placed = []
        for word in words:
            start, end = window.place(word.start, word.end)
            placed.append(HeardWord(word.text, round(start, 3), round(max(start, end), 3), round(word.probability, 4)))
        self._store.add(take.recording.digest, window.key, placed)
        self._place(take, window, placed)

    def _place(self, take: TakeState, window: Window, words: list[HeardWord]) -> None:
        take.heard[window.index] = words
        self._advance(take, window.starts[-1] / RATE)
        self._settle(take)

    def _settle(self, take: TakeState) -> None:
        if take.words is None and take.complete():
            take.words = take.spoken()
            self._store.finish(take.recording.digest, take.words)
            self._advance(take, take.recording.seconds or take.seconds)

    def _advance(self, take: TakeState, to: float) -> None:
        if to > take.told:
            self._progress.advance(to - take.told)
            take.told = to


class _Counter:
    """Passes blocks on and counts their samples; ends early when the hearing stops."""

    def __init__(self, blocks: Iterator[Samples], stop: threading.Event) -> None:
        self._blocks, self._stop, self.samples = blocks, stop, 0

    def __iter__(self) -> Iterator[Samples]:
        for block in self._blocks:
            if self._stop.is_set():
                return
            self.samples += len(block)
            yield block


def _nothing(result: Result) -> Result:
    return Result("", (), result.log_probability, result.silence, 0.0, result.seconds)

