"""The user's layer: TOML files of the shipped shapes, made from lessons and from what the user wrote.

The same lessons give the same bytes. A file in the layer that this program did not write is moved to own/ and kept.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import tomlkit

from voicedraft.correct.anchors import fold
from voicedraft.correct.learning.lessons import Cue, Misheard, Never, NewPairing, NewTerm, NoTerm, Synonym
from voicedraft.correct.learning.store import Store
from voicedraft.draft.write import write_text
from voicedraft.errors import LexiconError
from voicedraft.lexicon import load_lexicon, merge

MARK = "# Made by voicedraft from your corrections and from own/. For words of your own: voicedraft lexicon edit NAME"
FLAVOURS, OTHERS = "flavours", "learned"


def build(store: Store) -> list[Path]:
    """Makes the layer anew and gives its files. Raises LexiconError naming a file of own/ that is malformed."""
    _adopt(store)
    tables = _own(store)
    for name, table in _learned(store).items():
        tables[name] = merge(tables.get(name, {}), table)
    texts = {f"{name}.toml": f"{MARK}\n{tomlkit.dumps(_sorted(t))}" for name, t in sorted(tables.items()) if t}
    for path in store.folder.glob("*.toml"):
        if path.name not in texts:
            path.unlink()
    for file, text in texts.items():
        path = store.folder / file
        if not path.exists() or path.read_bytes() != text.encode():
            write_text(path, text)
    return [store.folder / file for file in texts]


def _adopt(store: Store) -> None:
    """Files that somebody wrote into the layer by hand are the user's own: they move to own/ as they are."""
    for path in sorted(store.folder.glob("*.toml")):
        data = path.read_bytes()
        if data.startswith(MARK.encode()):
            continue
        store.own.mkdir(parents=True, exist_ok=True)
        target = store.own / path.name
        if target.exists():
            target = store.own / f"{path.stem}.{hashlib.sha256(data).hexdigest()[:8]}.toml"
        path.rename(target)


def _own(store: Store) -> dict[str, dict[str, Any]]:
    """What the user wrote, by the name of the lexicon's file; `NAME.anything.toml` belongs to NAME."""
    out: dict[str, dict[str, Any]] = {}
    for path in sorted(store.own.glob("*.toml")):
        try:
            table = tomllib.loads(path.read_text(encoding="utf-8"))
        except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            raise LexiconError(f"{path} cannot be read ({error}). Mend it or take it away.") from error
        name = path.name.split(".")[0]
        out[name] = merge(out.get(name, {}), table)
    return out


def _sorted(table: Mapping[str, Any]) -> dict[str, Any]:
    """Plain values first, then tables, each by name, as TOML needs and so that equal tables give equal text."""
    plain = {k: v for k, v in sorted(table.items()) if not isinstance(v, dict)}
    return plain | {k: _sorted(v) for k, v in sorted(table.items()) if isinstance(v, dict)}


def _learned(store: Store) -> dict[str, dict[str, Any]]:
    lessons = [lesson for _, lesson in store.lessons()]
    tables = {
        "descriptors": _descriptors([x for x in lessons if isinstance(x, NewTerm | NoTerm)],
                                    [x for x in lessons if isinstance(x, Synonym)]),
        "misheard": _misheard([x for x in lessons if isinstance(x, Misheard)],
                              [x for x in lessons if isinstance(x, Never)]),
        "sections": _sections([x for x in lessons if isinstance(x, Cue)]),
        "pairings": _pairings([x for x in lessons if isinstance(x, NewPairing)]),
    }
    return {name: table for name, table in tables.items() if table}


def _descriptors(terms: list[NewTerm | NoTerm], synonyms: list[Synonym]) -> dict[str, Any]:
    """New terms under their family, by the reviewer's latest word on each; a known term with its shipped forms and the
    new ones."""
    lexicon = load_lexicon()
    families: dict[str, dict[str, dict[str, Any]]] = {}
    latest = {t.term: t for t in sorted(terms, key=lambda t: t.event)}
    for term, lesson in latest.items():
        if isinstance(lesson, NewTerm):
            families.setdefault(lesson.family, {})[term] = {"term": term, **_variants(term)}
    for synonym in synonyms:
        known = lexicon.terms.get(synonym.of)
        if known is None:
            continue
        entry = families.setdefault(known.family, {}).setdefault(known.term, {
            "term": known.term, "synonyms": list(known.synonyms), "adjectives": list(known.adjectives),
            "ambiguous": known.ambiguous,
        })
        entry["synonyms"] = [*entry.get("synonyms", []), *({synonym.term} - set(entry.get("synonyms", [])))]
    rows = {f: {"terms": [entries[t] for t in sorted(entries)]} for f, entries in families.items()}
    return {"family": rows} if rows else {}


def _variants(term: str) -> dict[str, Any]:
    """Other ways of writing a new term: with and without hyphens, and the regular adjective of a single word."""
    out: dict[str, Any] = {}
    spelt = sorted({term.replace("-", " "), term.replace(" ", "-")} - {term})
    if spelt:
        out["synonyms"] = spelt
    if term.isalpha() and term[-1] not in "aiouy":
        out["adjectives"] = [f"{term.removesuffix('e')}y"]
    return out


def _misheard(pairs: list[Misheard], never: list[Never]) -> dict[str, Any]:
    """One entry a heard form and its right one, with every neighbour seen; a form taken back later is not repaired."""
    lexicon = load_lexicon()
    flavours = {fold(f) for f in lexicon.forms}
    near: dict[tuple[str, str], set[str]] = {}
    for pair in pairs:
        near.setdefault((pair.heard, pair.right), set()).update(pair.near)
    out: dict[str, Any] = {}
    for (heard, right), words in sorted(near.items()):
        kind = FLAVOURS if fold(right) in flavours else OTHERS
        out.setdefault(kind, {"forms": []})["forms"].append(
            {"heard": heard, "right": right, "near": sorted(words), "everyday": _everyday(heard)})
    if never:
        out["never"] = {"heard": sorted({n.heard for n in never})}
    return out


def _everyday(heard: str) -> bool:
    """Whether a heard form is made of words that people say every day, so that context must speak for the repair."""
    from spacy.lang.en.stop_words import STOP_WORDS

    return all(w in STOP_WORDS for w in heard.split())


def _sections(cues: list[Cue]) -> dict[str, Any]:
    """Phrases that opened one section, and only one, in the user's drafts."""
    sections = {c.phrase: {d.section for d in cues if d.phrase == c.phrase} for c in cues}
    out: dict[str, Any] = {}
    for phrase, found in sorted(sections.items()):
        if len(found) == 1:
            out.setdefault(next(iter(found)), {"openers": []})["openers"].append(phrase)
    return out


def _pairings(pairs: list[NewPairing]) -> dict[str, Any]:
    sides = Counter((p.name, p.side) for p in pairs)
    out: dict[str, Any] = {}
    for name, side in sorted(sides):
        out.setdefault(side, {"own": []})["own"].append(name)
    return out
