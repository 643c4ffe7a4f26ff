"""Takes to words: the next take is searched for speech, and the next window encoded, while this one is heard.

One thread reads (decode, voice, windows), one encodes, and finishes what was decoded: words placed in time, guarded,
heard a second time where they are doubtful. The caller's thread decodes, and finishes where it would wait. What was
decoded is kept before the next begins, so that a stop loses no more than the windows decoded together. What a window is
told depends on first hearings only: the threads' pace decides nothing.
"""

from __future__ import annotations

import contextlib
import queue
import threading
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from pathlib import Path

from voicedraft.hear import bias, guard
from voicedraft.hear.decode import RATE, Samples, stream
from voicedraft.hear.inputs import Recording
from voicedraft.hear.recognise import SECOND_BEAM, Encoded, HeardWord, Recogniser
from voicedraft.hear.second import SecondHearing
from voicedraft.hear.store import Decoded, Finished, Kept, Store
from voicedraft.hear.voice import find_speech
from voicedraft.hear.windows import Window, pack
from voicedraft.lexicon import Lexicon
from voicedraft.progress import Progress

TOGETHER = {"cpu": 1, "cuda": 4}
"""Windows decoded together, and lost together when the machine stops. On the processor one costs no more than four
(benchmarks/NOTES.md); a GPU wants several."""
AHEAD = 4
"""Windows that may wait while the model works, encoded or being so: about two minutes of speech, 20 MB."""
AGAIN = (0, 3)
"""A window heard again is decoded without a prompt, then so that no three tokens in a row come twice, since a model
that has lost its way repeats itself; the first that may stand counts. Our own choice by hand, no outside source."""


@dataclass
class TakeState:
    """A take on its way. `seconds` is its length once it was read; `first` are the texts of first hearings and `heard`
    what is settled, by window; `done` is the whole take."""

    number: int
    recording: Recording
    place: float
    kept: dict[str, Kept] = field(default_factory=dict)
    first: dict[int, str] = field(default_factory=dict)
    heard: dict[int, list[HeardWord]] = field(default_factory=dict)
    expected: int = -1
    seconds: float = 0.0
    done: Finished | None = None
    told: float = 0.0

    def first_text(self, before: int | None = None) -> str:
        """What the first hearings made of the take so far, or of its windows before one."""
        if self.done:
            return self.done.first
        return " ".join(self.first[index] for index in sorted(self.first) if before is None or index < before)

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


_Coming = tuple[TakeState, Window, "Future[Encoded] | Finished"]
_Item = _Coming | _End | _Failed | None


@dataclass(frozen=True, slots=True)
class _Unfinished:
    """A decoded window on its way: `work` gives its words, and `words` will be what it gave."""

    take: TakeState
    window: Window
    work: Callable[[], list[HeardWord]]
    words: Future[list[HeardWord]]


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
        self._beside = ThreadPoolExecutor(1, "voicedraft-encoder")
        self._unfinished: deque[_Unfinished] = deque()
        self._together = TOGETHER[recogniser.device.kind]

    def run(self) -> None:
        """Hear every take; its words are in `take.done` after this. Raises InputError where a take cannot be read."""
        reader = threading.Thread(target=self._read, name="voicedraft-reader", daemon=True)
        reader.start()
        try:
            self._run()
        finally:
            self._stop.set()
            self._beside.shutdown(cancel_futures=True)
            while reader.is_alive():
                with contextlib.suppress(queue.Empty):
                    self._queue.get(timeout=0.05)
            reader.join()

    def _run(self) -> None:
        coming: deque[_Coming] = deque()
        more = True
        while more or coming:
            while more and len(coming) < self._together:
                item = self._queue.get()
                if isinstance(item, _Failed):
                    self._finish_all()
                    raise item.error
                if isinstance(item, _End):
                    item.take.expected, item.take.seconds = item.windows, item.seconds
                    self._settle(item.take)
                elif item is None:
                    more = False
                else:
                    coming.append(item)
            self._next(coming)
            self._place_finished()
        self._finish_all()

    def _next(self, coming: deque[_Coming]) -> None:
        """Take what was kept before, or hear the windows that come next, as many as are decoded together."""
        group: list[tuple[TakeState, Window, Encoded]] = []
        while coming and len(group) < self._together:
            take, window, encoded = coming[0]
            kept = take.kept.get(window.key)
            if group and (kept or take is not group[0][0] or window.index % self._together == 0):
                break
            coming.popleft()
            if isinstance(encoded, Finished):
                take.first[window.index] = encoded.first
                self._place(take, window, encoded.words)
                return
            while not encoded.done() and self._finish_one():
                pass
            if isinstance(kept, Decoded):
                self._finish_beside(take, window, encoded.result(), kept)
                return
            group.append((take, window, encoded.result()))
        if group:
            self._hear(group)

    # The reading thread --------------------------------------------------------------------------------------------

    def _read(self) -> None:
        try:
            for take in (t for t in self._takes if t.done is None):
                count, length = 0, _Counter(stream(take.recording.path), self._stop)
                for window in pack(take.number, find_speech(iter(length))):
                    count += 1
                    kept = take.kept.get(window.key)
                    if not isinstance(kept, Finished):
                        put = self._put((take, window, self._beside.submit(self._recogniser.encode, window)))
                    else:
                        put = self._put((take, window, kept))
                    if not put:
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
        told = self._told(group[0][0], group[0][1].index)
        seconds = [window.seconds for _, window, _ in group]
        results = self._recogniser.decode([e for _, _, e in group], seconds, bias.prompt(told))
        for (take, window, encoded), result in zip(group, results, strict=True):
            decoded = Decoded(result, told)
            self._store.add(take.recording.digest, window.key, decoded)
            self._finish_beside(take, window, encoded, decoded)

    def _finish_beside(self, take: TakeState, window: Window, encoded: Encoded, decoded: Decoded) -> None:
        """Have a decoded window finished while the next ones are decoded."""
        verdict = guard.judge(decoded.result, window, decoded.told)
        take.first[window.index] = decoded.result.text if verdict == "keep" else ""

        def work() -> list[HeardWord]:
            return self._keep(take, window, self._finish(verdict, window, encoded, decoded))

        self._unfinished.append(_Unfinished(take, window, work, self._beside.submit(work)))

    def _finish(self, verdict: guard.Verdict, window: Window, encoded: Encoded, decoded: Decoded) -> list[HeardWord]:
        """The words of a decoded window in its own seconds. From any thread."""
        if verdict == "again":
            return self._again(window, encoded)
        if verdict == "drop":
            return []
        words = self._recogniser.align(encoded, decoded.result)
        if words and guard.sparse(words, window):
            return max(words, self._again(window, encoded), key=len)
        if guard.put_in(words, decoded.told):
            return self._again(window, encoded) or words
        return self._second(words, window, encoded, decoded.told) if words and self._biased else words

    def _finish_one(self) -> bool:
        """Finish one window here that the other thread has not begun; False where there is none."""
        for unfinished in self._unfinished:
            if unfinished.words.cancel():
                self._unfinished.remove(unfinished)
                self._place(unfinished.take, unfinished.window, unfinished.work())
                return True
        return False

    def _finish_all(self) -> None:
        while self._unfinished:
            if not self._finish_one():
                wait([u.words for u in self._unfinished], return_when=FIRST_COMPLETED)
            self._place_finished()

    def _place_finished(self) -> None:
        for unfinished in [u for u in self._unfinished if u.words.done()]:
            self._unfinished.remove(unfinished)
            self._place(unfinished.take, unfinished.window, unfinished.words.result())

    def _again(self, window: Window, encoded: Encoded) -> list[HeardWord]:
        """A second hearing of a doubtful window, alone and without a prompt; nothing where it is no better."""
        for no_repeat in AGAIN:
            [result] = self._recogniser.decode([encoded], [window.seconds], "", SECOND_BEAM, no_repeat)
            if guard.judge_again(result, window):
                return self._recogniser.align(encoded, result)
        return []

    def _told(self, take: TakeState, index: int) -> list[str]:
        """What a window of the take is told: by all before those that are decoded together, whichever of them are left
        to decode."""
        if not self._biased:
            return []
        said = [t.first_text() for t in self._takes if t.number < take.number]
        said.append(take.first_text(before=index - index % self._together))
        return bias.bias_words(self._lexicon, take.place, self._cigar, bias.named_terms(self._lexicon, said))

    def _keep(self, take: TakeState, window: Window, words: list[HeardWord]) -> list[HeardWord]:
        """The words in seconds of the take, on the disk before this returns."""
        placed = []
        for word in words:
            start, end = window.place(word.start, word.end)
            placed.append(HeardWord(word.text, round(start, 3), round(max(start, end), 3), round(word.probability, 4)))
        self._store.add(take.recording.digest, window.key, Finished(placed, take.first[window.index]))
        return placed

    def _place(self, take: TakeState, window: Window, words: list[HeardWord]) -> None:
        take.heard[window.index] = words
        self._advance(take, window.starts[-1] / RATE)
        self._settle(take)

    def _settle(self, take: TakeState) -> None:
        if take.done is None and take.complete():
            take.done = Finished(take.spoken(), take.first_text())
            self._store.finish(take.recording.digest, take.done)
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
