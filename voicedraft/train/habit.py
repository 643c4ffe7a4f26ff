"""Counts which words follow one another: `python -m voicedraft.train habit`. The same sessions give the same bytes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from voicedraft.hear.habit import END, FILE, Counts, kinds, save, tokens
from voicedraft.hear.repair.sound import fold
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.train.command import fit_and_save

LEAST_WORD, LEAST_PAIR = 2, 2
"""How often a word and a pair must be said to be kept: those said once tell little and would treble the file."""
INSIDE = 0.6
"""Share of a word's places that must lie inside a name for it to count as its kind: "cedar", not "bit"."""


def count(golds: Sequence[dict[str, Any]], lexicon: Lexicon) -> Counts:
    """Counts of the sentences of annotated sessions."""
    said = [tokens(s["t"] if s["t"].rstrip()[-1:] in ".?!" else f"{s['t']}.")
            for gold in golds for take in gold["takes"] for s in take["sentences"]]
    words = Counter(w for sentence in said for w in sentence)
    inside, kind = _inside(said, lexicon), kinds(lexicon)
    plain = frozenset(w for w, n in words.items() if w in kind and inside[w] < INSIDE * n)
    pairs: Counter[tuple[str, str]] = Counter()
    for sentence in said:
        row = [w if w in plain else kind.get(w, w) for w in sentence]
        pairs.update(zip([END, *row], row, strict=False))
    kept = {w: n for w, n in words.items() if n >= LEAST_WORD}
    known = {*kept, *kind.values()}
    return Counts(kept, plain & kept.keys(),
                  {p: n for p, n in pairs.items() if n >= LEAST_PAIR and known.issuperset(p)})


def _inside(said: Sequence[Sequence[str]], lexicon: Lexicon) -> Counter[str]:
    """How often each word is said as part of a name of the lexicon, the longest name first."""
    names = {tuple(fold(f).split()) for f in lexicon.forms}
    names |= {(w,) for w, kind in kinds(lexicon).items() if kind != "FLAVOUR"}
    longest = max(map(len, names))
    out: Counter[str] = Counter()
    for sentence in said:
        at = 0
        while at < len(sentence):
            size = next((n for n in range(min(longest, len(sentence) - at), 0, -1)
                         if tuple(sentence[at : at + n]) in names), 0)
            out.update(sentence[at : at + size])
            at += max(1, size)
    return out


def _make(golds: Sequence[dict[str, Any]], file: Path) -> None:
    save(count(golds, load_lexicon()), file)


def main(arguments: Sequence[str] | None = None) -> int:
    """Count and save. Raises InputError as `fit_and_save`."""
    return fit_and_save("habit", _make, FILE, arguments)


if __name__ == "__main__":
    raise SystemExit(main())
