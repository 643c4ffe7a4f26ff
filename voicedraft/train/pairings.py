"""Fits the pairing reader: `python -m voicedraft.train pairings`. The same sessions give the same bytes."""

from __future__ import annotations

import random
import re
import tempfile
import tomllib
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, cast

import numpy as np

from voicedraft.evaluate.gold import sentence_labels, transcript
from voicedraft.lexicon import Lexicon, load_lexicon
from voicedraft.read.analysis import Analysis, encoder, language, tuning
from voicedraft.read.pairings import TALK, sections_of, sentence_vectors
from voicedraft.read.pairings.features import features
from voicedraft.read.pairings.merge import key
from voicedraft.read.pairings.model import FILE, PairingWeights, probed, save, surroundings
from voicedraft.read.pairings.tokens import Floats, Names, Row, row
from voicedraft.read.sentences import Sentence
from voicedraft.read.tuning import Tuning
from voicedraft.train.analysed import analysed
from voicedraft.train.command import each_studied, fit_and_save
from voicedraft.train.pairings_role import fit_role
from voicedraft.types import Passage, Section

KNOWN_SESSIONS = 3
"""Sessions in which a word must be said to be seen by name."""
C_TALK = 10.0
"""scikit-learn's C of the sentence model."""
C_PROBE = 0.003
"""scikit-learn's C of the token probe."""
C1, C2 = 1.0, 1.0
"""L1 and L2 of the tagger. Fitted on 194 sessions and read on 35 others, pairings that agree: 0.825 with C1 0.5, 0.820
with 1, which makes the file a quarter smaller; C2 kept from the first sessions and not measured again."""
UNSEEN = frozenset({"more"})
"""Lists that the models are fitted without, so that they learn to find names by the words around them."""
DRAWS = 3
"""Times that each written sentence is filled with names, and that each annotated one is said again with others."""
SEED = 9
_SLOT = re.compile(r"\{(a?o?[df])\}")
_TAG = {"d": "yes", "f": "yes", "ad": "no", "af": "no", "od": "", "of": ""}
_GLUED = frozenset({",", ".", "?", "!", ";", ":", "'s", "n't", "'d", "'m", "'ll", "'re", "'ve", "-"})
WRITTEN = Path(__file__).resolve().parent / "data" / "pairings.toml"


@dataclass(frozen=True, eq=False)
class Example:
    """One sentence to learn from: its row, tags, section, and for annotated ones the index in the session."""

    row: Row
    tags: tuple[str, ...]
    """O, or B- and I- of yes (to have with it) and no (to avoid)."""
    kinds: tuple[str, ...]
    """What each token names: "", drink, food."""
    section: str
    talk: bool
    index: int = -1
    following: tuple[str, ...] = ()
    """Words of the next sentence."""


@dataclass(frozen=True, eq=False)
class Studied:
    """What one session gives: its sentences' vectors and whether they talk of pairings, and examples for the tagger."""

    vectors: Floats
    talk: tuple[bool, ...]
    examples: tuple[Example, ...]
    again: tuple[Example, ...]


def study_gold(gold: dict[str, Any], names: Names, lists: dict[str, list[str]], seed: int) -> Studied:
    """Analyse and read one annotated session."""
    return study(gold, analysed(transcript(gold)), names, lists, seed)


def study(gold: dict[str, Any], analysis: Analysis, names: Names, lists: dict[str, list[str]], seed: int) -> Studied:
    """Read one annotated session."""
    passages = _passages(gold, analysis)
    sections = sections_of(analysis, passages)
    rows = [row(s, d, e, names) for s, d, e in zip(analysis.sentences, analysis.docs, analysis.encoded, strict=True)]
    tags = align(gold["pairings"], rows, sections)
    talk = tuple(sections[n] == "pairings" or any(t != "O" for t in tags[n]) for n in range(len(rows)))
    after = [tuple(t.lower for t in r.tokens if t.pos != "PUNCT") for r in rows[1:]] + [()]
    examples = tuple(
        Example(rows[n], _polar(tags[n]), _kinds(rows[n], tags[n]), sections[n], talk[n], n, after[n])
        for n in range(len(rows))
    )
    tagged = [(e, tags[e.index]) for e in examples if any(t != "O" for t in e.tags)]
    again = _said_again(tagged, names, lists, random.Random(seed))  # noqa: S311
    return Studied(sentence_vectors(analysis), talk, examples, tuple(again))


def _polar(tags: Sequence[str]) -> tuple[str, ...]:
    """Tags of kinds as tags of yes and no."""
    return tuple(t if t == "O" else t[:2] + ("no" if t[2:] == "avoid" else "yes") for t in tags)


def _kinds(r: Row, tags: Sequence[str]) -> tuple[str, ...]:
    """What each token names: by its tag, else by the lists."""
    return tuple(
        tag[2:] if tag[2:] in ("drink", "food") else t.mark.partition("/")[0]
        for t, tag in zip(r.tokens, tags, strict=True)
    )


def _passages(gold: dict[str, Any], analysis: Analysis) -> list[Passage]:
    return [
        Passage(f"p{n}", analysis.transcript.words[a].take, a, b, cast(Section, section), None, 1.0)
        for n, (a, b, section, _) in enumerate(sentence_labels(gold)) if b > a
    ]


def align(pairings: dict[str, list[str]], rows: Sequence[Row], sections: Sequence[str]) -> list[tuple[str, ...]]:
    """Tags of every sentence: for each annotated pairing the place that holds most of its words, in order."""
    tags = [["O"] * len(r.tokens) for r in rows]
    for kind in ("drink", "food", "avoid"):
        for value in pairings.get(kind, []):
            want = key(value)
            best: tuple[float, int, int, int] | None = None
            for n, r in enumerate(rows):
                for a, b, hits in _runs(r, want):
                    free = all(t == "O" for t in tags[n][a:b])
                    worth = hits + 2 * (sections[n] == "pairings") - 0.1 * (b - a) - 5 * (not free)
                    if best is None or worth > best[0]:
                        best = (worth, n, a, b)
            if best is not None and best[0] > 0:
                _, n, a, b = best
                tags[n][a:b] = [f"B-{kind}"] + [f"I-{kind}"] * (b - a - 1)
    return [tuple(t) for t in tags]


def _runs(r: Row, want: frozenset[str]) -> Iterable[tuple[int, int, int]]:
    """Ranges of one clause that hold words of `want` with only small words between."""
    for a, token in enumerate(r.tokens):
        if not key(token.lower) & want:
            continue
        last, hits, seen = a, 1, set(key(token.lower) & want)
        for b in range(a + 1, min(a + 7, len(r.tokens))):
            if r.tokens[b].clause != token.clause:
                break
            new = (key(r.tokens[b].lower) & want) - seen
            if new:
                last, hits = b, hits + 1
                seen |= new
            elif r.tokens[b].pos not in ("ADP", "DET", "PART", "PUNCT", "CCONJ", "NUM"):
                break
        yield a, last + 1, hits


def _said_again(
    found: Sequence[tuple[Example, Sequence[str]]], names: Names, lists: dict[str, list[str]], rng: random.Random,
) -> list[Example]:
    """Annotated sentences with other names of the same kind in their places."""
    texts, spans = [], []
    for example, tags in found:
        for _ in range(DRAWS):
            text, held = _swap(example, tags, lists, rng)
            texts.append((text, example.section))
            spans.append(held)
    return _made(texts, spans, names)


def _swap(
    example: Example, tags: Sequence[str], lists: dict[str, list[str]], rng: random.Random,
) -> tuple[str, list[tuple[int, int, str, str]]]:
    """The sentence with other names, and (first character, end, tag, what it names) of each."""
    tokens = example.row.tokens
    text, held, i = "", list[tuple[int, int, str, str]](), 0
    while i < len(tokens):
        tag = tags[i]
        if tag == "O":
            text = _add(text, tokens[i].text)
            i += 1
            continue
        last = i + 1
        while last < len(tokens) and tags[last] == "I" + tag[1:]:
            last += 1
        marks = {t.mark.partition("/")[0] for t in tokens[i:last]} - {""}
        kind = tag[2:] if tag[2:] in ("drink", "food") else next(iter(sorted(marks)), "drink")
        word = rng.choice(lists[kind])
        text = _add(text, word if i else word[:1].upper() + word[1:])
        held.append((len(text) - len(word), len(text), "no" if tag[2:] == "avoid" else "yes", kind))
        i = last
    return text, held


def _add(text: str, word: str) -> str:
    glue = not text or word in _GLUED or text.endswith("-")
    return text + word if glue else f"{text} {word}"


def written(names: Names, lists: dict[str, list[str]]) -> list[Example]:
    """The written sentences, filled `DRAWS` times."""
    return _made(*filled(lists, DRAWS), names)


def filled(
    lists: dict[str, list[str]], times: int
) -> tuple[list[tuple[str, str]], list[list[tuple[int, int, str, str]]]]:
    """((text, section), [(first character, end, tag, what it names)]) of each written sentence, filled so often."""
    table = tomllib.loads(WRITTEN.read_text(encoding="utf-8"))
    rng = random.Random(SEED)  # noqa: S311
    texts, spans = [], []
    for section, sentences in (("pairings", table["talk"]), ("aside", table["other"])):
        for pattern in sentences:
            for _ in range(times):
                text, held = _fill(pattern, lists, rng)
                texts.append((text, section))
                spans.append(held)
    return texts, spans


def _fill(pattern: str, lists: dict[str, list[str]], rng: random.Random) -> tuple[str, list[tuple[int, int, str, str]]]:
    text, at = "", 0
    held: list[tuple[int, int, str, str]] = []
    for slot in _SLOT.finditer(pattern):
        text += pattern[at : slot.start()]
        kind = "drink" if slot[1].endswith("d") else "food"
        word = rng.choice(lists[kind])
        held.append((len(text), len(text) + len(word), _TAG[slot[1]], kind))
        text += word
        at = slot.end()
    text += pattern[at:]
    return text[:1].upper() + text[1:], held


def _made(
    texts: Sequence[tuple[str, str]], spans: Sequence[list[tuple[int, int, str, str]]], names: Names,
) -> list[Example]:
    """Examples out of bare texts with the character ranges of their pairings."""
    docs = list(language().pipe([t for t, _ in texts], batch_size=64))
    encoded = encoder().encode([t for t, _ in texts])
    out = []
    for (text, section), doc, code, held in zip(texts, docs, encoded, spans, strict=True):
        sentence = Sentence(0, 1, 0, 1, text, (0,), 0.0, 0.0)
        tags, kinds = ["O"] * len(doc), [""] * len(doc)
        for begin, end, tag, kind in held:
            inside = [t.i for t in doc if t.idx < end and t.idx + len(t.text) > begin]
            for place, i in enumerate(inside):
                tags[i] = ("I-" if place else "B-") + tag if tag else "O"
                kinds[i] = kind
        out.append(Example(row(sentence, doc, code, names), tuple(tags), tuple(kinds), section, section == "pairings"))
    return out


def fit_golds(golds: Sequence[dict[str, Any]], studied: dict[str, Studied] | None = None) -> PairingWeights:
    """Weights from gold sessions given as data.

    studied: a store that callers who fit many times may pass; a session stays there under its id.
    """
    names, lists, extra = _words(tuning())
    return fit(each_studied(golds, lambda n, gold: study_gold(gold, names, lists, n), studied), extra, names)


@cache
def _words(_changes: Tuning | None) -> tuple[Names, dict[str, list[str]], list[Example]]:
    """Names, lists by kind, and the made-up sentences: the same for every fit on the vectors of one encoder."""
    lexicon = load_lexicon()
    names, lists = Names.of(lexicon, UNSEEN), names_by_kind(lexicon)
    return names, lists, written(names, lists)


def main(arguments: Sequence[str] | None = None) -> int:
    """Fit and write the weights."""
    return fit_and_save("pairings", lambda golds, file: save(fit_golds(golds), file), FILE, arguments)


def names_by_kind(lexicon: Lexicon) -> dict[str, list[str]]:
    """The drinks and foods of all lists but `UNSEEN`, in the file's order."""
    table = lexicon.table("pairings")
    return {
        kind: [name for part, names in table[kind].items() if part not in UNSEEN for name in names]
        for kind in ("drink", "food")
    }


def fit(studied: Sequence[Studied], extra: Sequence[Example], names: Names) -> PairingWeights:
    """Weights from the sessions given and the written sentences."""
    talk, bias = _fit_talk(studied)
    chances = _crossed(studied)
    found = [(e, float(c[e.index])) for s, c in zip(studied, chances, strict=True) for e in s.examples]
    held = [(e, chance) for e, chance in found if _teaches(e, chance)]
    held += [(e, 0.9) for s in studied for e in s.again]
    held += [(e, 0.7 if e.talk else 0.3) for e in extra]
    probe = _fit_probe([e for e, _ in held])
    seen = _crossed_probes([e for e, _ in held])
    known = _known(studied, extra)
    data = []
    for n, (e, chance) in enumerate(held):
        for unlisted in (False, True) if e.talk else (n % 2 == 0,):
            r = _unlisted(e) if unlisted else e.row
            section = "aside" if unlisted and n % 3 == 0 and chance >= TALK else e.section
            data.append((features(r, names, seen[n], known, section, chance), [t[:1] for t in e.tags]))
    role = fit_role([e for e, _ in held])
    return PairingWeights(talk=talk, bias=bias, probe=probe, role=role, known=known, tagger=_fit_tagger(data))


def _unlisted(e: Example) -> Row:
    """The row as if no list held its names: what the tagger will meet when somebody names what nobody listed."""
    return Row(tuple(replace(t, mark="") for t in e.row.tokens), e.row.vectors, e.row.whole)


def _fit_probe(examples: Sequence[Example]) -> Floats:
    """(3, 385): multinomial logistic regression of what a token names on its vector."""
    from sklearn.linear_model import LogisticRegression

    x = np.concatenate([e.row.vectors for e in examples])
    y = np.array([("", "drink", "food").index(k) for e in examples for k in e.kinds])
    keep = (y > 0) | (np.arange(len(y)) % 4 == 0)
    model = LogisticRegression(C=C_PROBE, max_iter=60, tol=1e-3).fit(x[keep], y[keep])
    return np.concatenate([model.coef_, model.intercept_[:, None]], axis=1).astype(np.float32)


def _crossed_probes(examples: Sequence[Example], parts: int = 2) -> list[Floats]:
    """Chances of each example's tokens by a probe that was fitted on other examples."""
    out: list[Floats] = [np.zeros((0, 3), np.float32)] * len(examples)
    for part in range(parts):
        probe = _fit_probe([e for n, e in enumerate(examples) if (n // DRAWS) % parts != part])
        for n, e in enumerate(examples):
            if (n // DRAWS) % parts == part:
                out[n] = probed(e.row.vectors, probe)
    return out


def _teaches(example: Example, chance: float) -> bool:
    """Sentences near the talk of pairings, and those with a drink or food in them."""
    return example.talk or chance >= 0.05 or any(t.mark for t in example.row.tokens)


def _fit_talk(studied: Sequence[Studied]) -> tuple[Floats, float]:
    from sklearn.linear_model import LogisticRegression

    x = np.concatenate([surroundings(s.vectors) for s in studied])
    y = np.concatenate([np.array(s.talk) for s in studied])
    model = LogisticRegression(C=C_TALK, max_iter=500).fit(x, y)
    return model.coef_[0].astype(np.float32), float(model.intercept_[0])


def _crossed(studied: Sequence[Studied], parts: int = 4) -> list[Floats]:
    """Chances of each session's sentences by a model that did not see it."""
    out: list[Floats] = [np.zeros(0, np.float32)] * len(studied)
    for part in range(parts):
        talk, bias = _fit_talk([s for n, s in enumerate(studied) if n % parts != part])
        for n in range(part, len(studied), parts):
            logits = surroundings(studied[n].vectors) @ talk + bias
            out[n] = np.asarray(1.0 / (1.0 + np.exp(-logits)), np.float32)
    return out


def _known(studied: Sequence[Studied], extra: Sequence[Example]) -> frozenset[str]:
    """Words said in several sessions, listed drinks and foods left out: they are to be known by kind, not by name."""
    counts: Counter[str] = Counter()
    named: set[str] = set()
    for s in studied:
        counts.update({w for e in s.examples for t in e.row.tokens for w in (t.lower, t.lemma)})
        named |= {t.lower for e in s.examples for t, tag in zip(e.row.tokens, e.tags, strict=True) if tag != "O"}
    plain = [t for e in extra for t, kind in zip(e.row.tokens, e.kinds, strict=True) if not kind]
    common = Counter({w for t in plain for w in (t.lower, t.lemma)})
    return frozenset(w for w, n in (counts + common).items() if n >= KNOWN_SESSIONS and w not in named)


def _fit_tagger(data: Iterable[tuple[list[list[str]], Collection[str]]]) -> bytes:
    import pycrfsuite

    trainer = pycrfsuite.Trainer(algorithm="lbfgs", verbose=False)
    trainer.set_params({"c1": C1, "c2": C2, "max_iterations": 80, "feature.possible_transitions": True})
    for table, tags in data:
        if table:
            trainer.append(table, list(tags))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "tagger"
        trainer.train(str(file))
        return file.read_bytes()


if __name__ == "__main__":
    raise SystemExit(main())
