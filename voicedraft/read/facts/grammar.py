"""What grammar says of a number or name: the verb that governs it, its tense and subject, what it stands under."""

from __future__ import annotations

from bisect import bisect_right
from typing import Any

import numpy as np

from voicedraft.read.facts.context import Line
from voicedraft.read.sign_weights import Floats

_REACH = 6
"""Steps from a word up to the verb that governs it."""
_OWN = frozenset({"i", "we", "my", "mine", "our", "ours", "me", "us"})
_THIS = frozenset({"it", "this", "that", "they", "these", "she", "he", "them", "one", "which", "her", "him"})
_ARGUMENTS = frozenset({"nsubj", "nsubjpass", "csubj", "expl"})
_VERBS = frozenset({"VERB", "AUX"})
_NOTHING = 1e-9
"""Length of the vector where no word piece lies under the words."""


def grammar_signs(line: Line, first: int, last: int) -> set[str]:
    """Signs of the words at tokens `[first, last)`: short words of their own, no more than a dozen."""
    top = _top(line, first, last)
    if top is None:
        return set()
    out = {f"dep={top.dep_}", f"under={top.head.lemma_.lower()}"}
    if top.dep_ == "pobj":
        out.add(f"prep={top.head.lower_} of {top.head.head.lemma_.lower()}")
    verb, path = _governor(top)
    if verb is None:
        return out
    out |= {f"verb={verb.lemma_.lower()}", f"tense={_tense(verb)}", f"clause={verb.dep_}", f"path={path}"}
    for child in verb.children:
        if child.dep_ in _ARGUMENTS:
            out |= {f"subject={_who(child)}", f"subject {_who(child)} {verb.lemma_.lower()}"}
        elif child.dep_ in ("aux", "neg", "mark", "auxpass"):
            out.add(f"{child.dep_}={child.lower_}")
        elif child.dep_ in ("advmod", "npadvmod", "prt"):
            out.add(f"adverb={child.lemma_.lower()}")
        elif child.dep_ == "conj" and child.i > top.i and child.pos_ in _VERBS:
            out.add(f"then verb={child.lemma_.lower()}")
    return out


def _top(line: Line, first: int, last: int) -> Any:
    """The word of the span that hangs on a word outside of it, or None where grammar is not at hand."""
    if line.doc is None or first >= last:
        return None
    start, end = line.tokens[first].start, line.tokens[last - 1].end
    low = max(0, bisect_right(line.starts, start) - 1)
    high = max(low + 1, bisect_right(line.starts, end - 1))
    span = line.doc[low:high]
    return span.root if len(span) else None


def _governor(top: Any) -> tuple[Any, str]:
    """The nearest verb above the word and the dependencies on the way; None where there is none."""
    steps: list[str] = []
    word = top
    for _ in range(_REACH):
        if word.pos_ in _VERBS:
            return word, ">".join(steps[-3:])
        if word.head is word:
            break
        steps.append(word.dep_)
        word = word.head
    return (word, ">".join(steps[-3:])) if word.pos_ in _VERBS else (None, "")


def _tense(verb: Any) -> str:
    helpers = "+".join(c.lemma_.lower() for c in verb.children if c.dep_ in ("aux", "auxpass"))
    return f"{verb.tag_} {helpers}".strip()


def _who(word: Any) -> str:
    """Who or what is spoken of: the speaker, a pronoun, a name, or the noun with whose it is."""
    text = str(word.lower_)
    if text in _OWN:
        return "speaker"
    if text in _THIS:
        return "it"
    if word.pos_ == "PROPN":
        return "name"
    if word.pos_ == "NUM":
        return "number"
    owners = {c.lower_ for c in word.children if c.dep_ == "poss"}
    whose = "own " if owners & _OWN else "theirs " if owners else ""
    return f"{whose}{word.lemma_.lower()}"


def vector(line: Line, first: int, last: int) -> Floats | None:
    """What the sentence encoder made of tokens `[first, last)` where they stand: (384,), of length 1."""
    if line.encoded is None or first >= last:
        return None
    mean = line.encoded.pooled([(line.tokens[first].start, line.tokens[last - 1].end)])[0]
    size = float(np.linalg.norm(mean))
    return (mean / size).astype(np.float32) if size > _NOTHING else None
