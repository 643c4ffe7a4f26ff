"""What is spoken to the model: runs of sentences of gold sessions, names of the lexicon in sentences, ordinary
speech.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random
from typing import Any

from voicedraft.hear.repair import proper_names
from voicedraft.hear.repair.context import places, strings
from voicedraft.hear.repair.sound import fold
from voicedraft.lexicon import Lexicon

ORDINARY = Path(__file__).resolve().parents[1] / "data" / "hearing" / "ordinary.txt"
MOST_WORDS = 62
"""Words of one run: what people say in half a minute at most."""
NAMES_SAID = 6
"""How often each rare name is said, in other sentences and by other voices. Twice was too seldom: names that the model
did not know before ("asafoetida", "ghee") stayed misheard."""
RARE = 3
"""A name with a word that the sessions say less often than this is put into a sentence of its own."""
CARRIERS = (
    "I get {}, {} and a bit of {}.", "There's {} first, then {}, and {} behind it.",
    "It's {} with {} and just a hint of {}.", "{}, {} and {}, in that order.",
    "On the retrohale, {} and {}, and maybe {}.", "The foot is {} and {}, with some {}.",
    "Cold draw gives me {}, {}, and a touch of {}.", "Still {}, a little less {}, and now {}.",
    "No {} any more, but plenty of {} and {}.", "The finish is {} and {}, nearly {}.",
    "If I had to name it, {}, or {}, or something like {}.", "More {} than {} now, and the {} has come back.",
    "First thing on the palate is {}, followed by {} and {}.",
    "That {} note is there again, next to the {} and the {}.",
)
PLACED = ("The filler comes from {} and {}.", "It was rolled in {}, not in {}.", "The binder is grown in {} or {}.")
LEAVES = ("The wrapper is {}, over a {} binder.", "Outside leaf is {}, and {} under it.",
          "It's {} where I expected {}.")
SIZES = ("This is a {}, not a {}.", "The size is {}, the other one was a {}.")


def runs(gold: dict[str, Any]) -> Iterator[list[str]]:
    """Sentences of one take in a row, as many as fit into a window."""
    for take in gold["takes"]:
        held: list[str] = []
        for sentence in take["sentences"]:
            text = str(sentence["t"]).replace("’", "'").strip()
            if held and sum(len(t.split()) for t in (*held, text)) > MOST_WORDS:
                yield held
                held = []
            held.append(text)
        if held:
            yield held


def rare_names(lexicon: Lexicon, golds: Sequence[dict[str, Any]]) -> list[str]:
    """Flavours, as the lexicon writes them, with a word that the sessions hardly say."""
    said = Counter(w for g in golds for r in runs(g) for t in r for w in fold(t).split())
    names = dict.fromkeys(n for n in lexicon.forms if len(n.split()) <= 3)
    return [n for n in names if any(said[w] < RARE for w in fold(n).split())]


def in_sentences(lexicon: Lexicon, golds: Sequence[dict[str, Any]], draw: Random) -> list[str]:
    """Rare flavours, leaves, places and sizes, each said at least once: in carriers, or in place of a flavour in a
    sentence of a session."""
    own = [(str(s["t"]), str(d["term"])) for g in golds for d in g["descriptors"] for t in g["takes"]
           for s in t["sentences"]
           if re.search(rf"\b{re.escape(str(d['term']))}\b", str(s["t"])) and len(s["t"].split()) < 28]
    names = rare_names(lexicon, golds)
    draw.shuffle(names)
    out: list[str] = []
    while names:
        if own and draw.random() < 0.45:
            text, term = draw.choice(own)
            out.append(re.sub(rf"\b{re.escape(term)}\b", names.pop(), text, count=1))
        else:
            three = [names.pop() for _ in range(min(3, len(names)))]
            out.append(draw.choice(CARRIERS).format(*three, *["tobacco"] * (3 - len(three))))
    trade, proper = lexicon.table("trade"), proper_names(lexicon)
    sizes = [n for part in ("vitola", "shape") for n in (*trade.get(part, {}), *strings(trade.get(part, {})))]
    for pool, carriers in ((strings(trade.get("leaf", {})), LEAVES), (places(lexicon), PLACED), (sizes, SIZES)):
        shown = [proper.get(fold(n), n) for n in dict.fromkeys(pool)]
        out += [draw.choice(carriers).format(n, draw.choice(shown)) for n in shown]
    draw.shuffle(out)
    return [t[:1].upper() + t[1:] for t in out]


def groups(texts: Sequence[str], size: int) -> list[list[str]]:
    """The texts in a row, so many at a time."""
    return [list(texts[i : i + size]) for i in range(0, len(texts), size)]


def kept(golds: Sequence[Any]) -> list[Any]:
    """Every fourteenth session, left out for trying."""
    return list(golds[5::14])


def material(
    golds: Sequence[dict[str, Any]], lexicon: Lexicon, draw: Random, more: Sequence[str] = ()
) -> list[tuple[str, list[str]]]:
    """(kind, sentences) of everything that is spoken, mixed: about two thirds trade, one third ordinary speech, of
    which `more` are further sentences. Names are said NAMES_SAID times over, in other sentences."""
    out = [("trade", r) for g in golds for r in runs(g)]
    for _ in range(NAMES_SAID):
        out += [("lex", g) for g in groups(in_sentences(lexicon, golds, draw), 4)]
    ordinary = [*ORDINARY.read_text(encoding="utf-8").splitlines(), *more]
    words = sum(len(t.split()) for _, r in out for t in r)
    while sum(len(t.split()) for kind, r in out if kind == "ord" for t in r) < words / 2:
        draw.shuffle(ordinary)
        out += [("ord", g) for g in groups(ordinary, 4)]
    draw.shuffle(out)
    return out
