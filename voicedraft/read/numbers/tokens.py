"""Splits a sentence into small tokens that number grammars read, each with its place in the text.

Hyphened words come apart ("six-and-a-half", "touch-up"), and so do signs ("£14.60", "66.5%", "6x50", "wrapper's").
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from voicedraft.read.sentences import Sentence

_TOKEN = re.compile(
    r"[£$€₹₱¥₩₦฿₫₺₴₪₡]"
    r"|\d{1,2}:\d{2}(?::\d{2})?"
    r"|\d+/\d+"
    r"|\d{1,3}(?:,\d{3})+(?:\.\d+)?(?![\d])"
    r"|\d+(?:st|nd|rd|th)\b"
    r"|\d+(?:\.\d+)?"
    r"|[%½¼¾⅛⅜⅝⅞⅓⅔×″]"
    r"|['’](?:s|re|ve|ll|d|m)\b"
    r"|[^\W\d_]+?(?=['’](?:s|re|ve|ll|d|m)\b)"
    r"|[^\W\d_]+(?:['’][^\W\d_]+)*"
)
_BLANK = re.compile(r"\s")
_BREAK = re.compile(r"[,.;:?!…—–()\"“”]")
_STOP = re.compile(r"[.;?!…]")


@dataclass(frozen=True, slots=True)
class Token:
    """`text` is lower case without accents; `start`, `end` are characters of the sentence.

    `word` is the index of its word in the transcript.

    `gap` is what stands between the token before and this one, blanks aside: "", "-", "," and so on.
    """

    text: str
    printed: str
    start: int
    end: int
    word: int
    gap: str
    glued: bool
    """No blank at all before it."""

    @property
    def breaks(self) -> bool:
        """A comma, stop, colon or dash stands before it."""
        return self.gap != "" and _BREAK.search(self.gap) is not None

    @property
    def stops(self) -> bool:
        """A full stop, question mark or semicolon stands before it."""
        return self.gap != "" and _STOP.search(self.gap) is not None


def fold(text: str) -> str:
    """Lower case, straight apostrophes, accents off letters; signs such as "½" stay."""
    text = text.lower().replace("’", "'")
    if text.isascii():
        return text
    parts = (unicodedata.normalize("NFKD", c) if c.isalpha() else c for c in text)
    return "".join(c for part in parts for c in part if not unicodedata.combining(c))


@lru_cache(maxsize=2048)
def tokenise(sentence: Sentence) -> tuple[Token, ...]:
    """The tokens of a sentence in order. Kept, since several rooms read the same sentences one after another."""
    words = _word_index(sentence)
    return _tokens(sentence.text, words)


def tokenise_text(text: str) -> tuple[Token, ...]:
    """The tokens of a bare text; `word` counts blank-separated words from 0."""
    words, count = [], -1
    for i, char in enumerate(text):
        if not char.isspace() and (i == 0 or text[i - 1].isspace()):
            count += 1
        words.append(max(count, 0))
    return _tokens(text, words)


def split_text(text: str) -> tuple[str, ...]:
    """The lower-case texts of the tokens of a bare text."""
    return tuple(fold(found) for found in _TOKEN.findall(text))


def _word_index(sentence: Sentence) -> list[int]:
    words: list[int] = []
    bounds = [*sentence.offsets[1:], len(sentence.text) + 1]
    for i, bound in enumerate(bounds):
        words += [sentence.first + i] * (bound - len(words))
    return words


def _tokens(text: str, words: Sequence[int]) -> tuple[Token, ...]:
    out: list[Token] = []
    last = 0
    for match in _TOKEN.finditer(text):
        between = text[last : match.start()]
        out.append(Token(
            text=fold(match.group()), printed=match.group(), start=match.start(), end=match.end(),
            word=words[match.start()], gap="".join(between.split()), glued=last > 0 and not _BLANK.search(between),
        ))
        last = match.end()
    return tuple(out)


def texts(tokens: Sequence[Token], first: int, last: int) -> tuple[str, ...]:
    """The lower-case texts of `[first, last)`, cut to the sequence."""
    return tuple(t.text for t in tokens[max(first, 0) : max(last, 0)])
