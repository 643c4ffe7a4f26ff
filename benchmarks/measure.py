"""Figures for the hearing benchmark: word error rate, recall of trade words, errors of word times."""

from __future__ import annotations

import json
import re
import unicodedata
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import jiwer
import numpy as np
from text_to_num import alpha2digit

from voicedraft.hear.repair.context import places, strings
from voicedraft.lexicon import Lexicon
from voicedraft.types import Transcript

_SPELLING = ((r"our(s|ed|ing|ful)?$", r"or\1"), (r"tre(s?)$", r"ter\1"), (r"grey", "gray"), (r"ise(d|s)?$", r"ize\1"),
             (r"elling$", "eling"), (r"elled$", "eled"), (r"licorice", "liquorice"), (r"^tyre(s?)$", r"tire\1"),
             (r"^ch(?:ile|illi)(e?s?)$", r"chili\1"), (r"^blonde(s?)$", r"blond\1"), (r"^kola(s?)$", r"cola\1"),
             (r"brule(s?)$", r"brulee\1"), (r"^petite$", "petit"), (r"canoing$", "canoeing"))
# Contractions and fillers as Whisper's own authors compare texts (Radford et al. 2022, appendix C; from memory), and
# words written in one or two.
_SAID = ((r"\b(hmm|mm|mhm|mmm|uh|um)\b", " "), (r"\bwon't\b", "will not"), (r"\bcan't\b", "can not"),
         (r"\bcannot\b", "can not"), (r"\by'all\b", "you all"), (r"\bwanna\b", "want to"), (r"\bgonna\b", "going to"),
         (r"\bgotta\b", "got to"), (r"\bkinda\b", "kind of"), (r"\bo'clock\b", "oclock"), (r"n't\b", " not"),
         (r"'re\b", " are"), (r"'s\b", " is"), (r"'d\b", " would"), (r"'ll\b", " will"), (r"'ve\b", " have"),
         (r"'m\b", " am"), (r"\bokay\b", "ok"), (r"\ball right\b", "alright"), (r"\bhalf way\b", "halfway"),
         (r"\bash tray", "ashtray"))
# The rest of the trade's own words that no lexicon file lists as a name, from memory.
_SPOKEN = ("draw", "cold draw", "retrohale", "retrohaling", "burn line", "burn", "ash", "relight", "relit", "touch up",
           "canoe", "canoeing", "tunnel", "tunnelling", "humidor", "ring gauge", "first third", "second third",
           "final third", "last third", "nub", "strength", "cigar", "cigars", "band", "vitola")


def words(text: str) -> list[str]:
    """Words as they are compared: no case, accent, hyphen, filler or apostrophe; contractions in full; numbers as
    digits; one of two spellings."""
    flat = unicodedata.normalize("NFD", alpha2digit(text.replace("-", " "), "en").lower())
    flat = "".join(c for c in flat if not unicodedata.combining(c)).replace("’", "'")
    for pattern, new in _SAID:
        flat = re.sub(pattern, new, flat)
    flat = re.sub(r"(?<=\d) and (?:a|1) half\b", ".5", flat.replace("'", ""))
    flat = flat.replace("per cent", "percent").replace("%", " percent ")
    out = re.sub(r"[^a-z0-9 ]+", " ", re.sub(r"(?<=\d)[.,](?=\d)", "", flat)).split()
    return [_spelt(w) for w in out]


def _spelt(word: str) -> str:
    if word == "1":  # alpha2digit leaves "one" alone, which may be no number.
        return "one"
    if len(word) > 4:
        for pattern, new in _SPELLING:
            word = re.sub(pattern, new, word)
    return word


def trade_words(lexicon: Lexicon) -> frozenset[tuple[str, ...]]:
    """Every flavour form, leaf, place, size and part, and the words of smoking, as compared; common words left out."""
    trade = lexicon.table("trade")
    names = [*lexicon.forms, *_SPOKEN, *places(lexicon)]
    for part in ("leaf", "vitola", "shape"):
        names += (*(trade.get(part, {}) if part != "leaf" else ()), *strings(trade.get(part, {})))
    names += ("wrapper", "binder", "filler", "foot", "head", "cap", "vein", "veins", "seam", "seams")
    folded = (_one(words(n)) for n in names)
    return frozenset(t for t in folded if t and t not in {("a",), ("us",), ("in",), ("point",)})


def _one(said: Sequence[str]) -> tuple[str, ...]:
    return tuple(w[:-3] + "y" if len(w) > 5 and w.endswith("ies") else
                 w[:-1] if len(w) > 3 and w.endswith("s") and not w.endswith(("ss", "us", "is")) else w for w in said)


def count(said: Sequence[str], terms: frozenset[tuple[str, ...]]) -> Counter[tuple[str, ...]]:
    """How often each term is said, the longest counted first. One fig and several figs are the same word of the trade:
    "the fig's there" and "the figs there" sound alike. So are a term in one word and in two: "broad leaf"."""
    longest = max(map(len, terms))
    said = _joined(_one(said), terms)
    out: Counter[tuple[str, ...]] = Counter()
    at = 0
    while at < len(said):
        size = next((n for n in range(min(longest, len(said) - at), 0, -1) if tuple(said[at : at + n]) in terms), 0)
        if size:
            out[tuple(said[at : at + size])] += 1
        at += size or 1
    return out


def _joined(said: tuple[str, ...], terms: frozenset[tuple[str, ...]]) -> tuple[str, ...]:
    out: list[str] = []
    for word in said:
        if out and len(out[-1]) > 2 < len(word) and (out[-1] + word,) in terms:
            out[-1] += word
        else:
            out.append(word)
    return tuple(out)


class Tally:
    """Takes compared one by one."""

    def __init__(self, lexicon: Lexicon) -> None:
        self._terms = trade_words(lexicon)
        self._said: list[str] = []
        self._heard: list[str] = []
        self.there = self.found = self.put_in = 0
        self.missed: Counter[tuple[str, ...]] = Counter()

    def add(self, said: str, heard: str) -> None:
        """One take: what was said and what was heard."""
        a, b = words(said), words(heard)
        self._said.append(" ".join(a))
        self._heard.append(" ".join(b) or "-")
        wanted, got = count(a, self._terms), count(b, self._terms)
        self.there += wanted.total()
        self.found += (wanted & got).total()
        self.missed += wanted - got
        self.put_in += (got - wanted).total()

    @property
    def wer(self) -> float:
        """Word error rate over all takes, by jiwer."""
        return float(jiwer.wer(self._said, self._heard))

    def worst(self, most: int) -> str:
        """The terms missed most often, and how often."""
        return ", ".join(f"{' '.join(t)} {n}" for t, n in self.missed.most_common(most))

    @property
    def recall(self) -> float:
        """Share of trade words said that were heard in their take."""
        return self.found / max(1, self.there)


def take_text(transcript: Transcript, number: int) -> str:
    """What was heard in one take."""
    return " ".join(w.text for w in transcript.words if w.take == number)


def time_errors(transcript: Transcript, times: Path) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Seconds from the forced to the heard start of each word that was heard right. times: the demo's times.json."""
    out: list[float] = []
    for number, take in enumerate(json.loads(times.read_text(encoding="utf-8"))["takes"], 1):
        begin = transcript.takes[number - 1].start
        true = [(w, s) for sentence in take["sentences"] for text, s, _ in sentence["words"] for w in words(text)[:1]]
        heard = [(n, w.start - begin) for w in transcript.words if w.take == number for n in words(w.text)[:1]]
        done = jiwer.process_words(" ".join(w for w, _ in true), " ".join(w for w, _ in heard))
        for chunk in done.alignments[0]:
            if chunk.type == "equal":
                pairs = zip(range(chunk.ref_start_idx, chunk.ref_end_idx),
                            range(chunk.hyp_start_idx, chunk.hyp_end_idx), strict=True)
                out += [heard[b][1] - true[a][1] for a, b in pairs]
    return np.array(out)
