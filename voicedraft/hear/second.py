"""A second hearing of a window with doubtful words, told the words of the trade that sound like them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path

from voicedraft.hear import bias, guard
from voicedraft.hear.doubt import Doubt
from voicedraft.hear.habit import Habit, load
from voicedraft.hear.merge import merge
from voicedraft.hear.recognise import BEAM, Encoded, HeardWord, Recogniser
from voicedraft.hear.windows import Window
from voicedraft.lexicon import Lexicon

TOLD = 40
"""Names told in all: those that sound alike, then of what the window was told before as many as there is room for."""


class SecondHearing:
    """What the second hearing needs, made when the first doubtful window comes."""

    def __init__(self, recogniser: Recogniser, lexicon: Lexicon, habit: Path | None = None) -> None:
        self._recogniser, self._lexicon, self._file = recogniser, lexicon, habit

    @cached_property
    def _habit(self) -> Habit:
        return load(self._lexicon, self._file) if self._file else load(self._lexicon)

    @cached_property
    def _doubt(self) -> Doubt:
        return Doubt(self._lexicon, self._habit)

    def __call__(
        self, words: Sequence[HeardWord], window: Window, encoded: Encoded, told: Sequence[str]
    ) -> list[HeardWord]:
        """The words of the window, some of them from a second hearing; as they are where nothing is doubtful or the
        second hearing is not to be believed. told: what the first hearing was told."""
        alike = self._doubt.words(words)
        if not alike:
            return list(words)
        lower = {w.lower() for w in alike}
        rest = [w for w in told if w.lower() not in lower][: max(0, TOLD - len(alike))]
        [result] = self._recogniser.decode([encoded], [window.seconds], bias.prompt([*alike, *rest]), BEAM)
        if guard.judge(result, window, [*alike, *rest]) != "keep":
            return list(words)
        again = self._recogniser.align(encoded, result)
        if guard.put_in(again, [*alike, *rest]):
            return list(words)
        return merge(words, again, self._habit)
