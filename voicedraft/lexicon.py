"""The lexicon: words as data, layered. The shipped files lie in lexicon/; the user's own layer is laid on top.

`Lexicon.descriptors` knows every surface form (term, spelling, adjective, plural) and leads it to its term and family.
All other files are plain tables and reach the rules as they are, through `Lexicon.table(name)`.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from voicedraft.data import lexicon_dir
from voicedraft.errors import LexiconError


@dataclass(frozen=True, slots=True)
class Term:
    """One flavour or aroma. `ambiguous` words are a flavour only where the context says so."""

    term: str
    family: str
    synonyms: tuple[str, ...] = ()
    adjectives: tuple[str, ...] = ()
    ambiguous: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    """One way of saying a term. `kind` is "term", "synonym" or "adjective"."""

    text: str
    kind: str
    term: Term


@dataclass(frozen=True)
class Lexicon:
    """`forms` maps each lower-case surface form to its term; `tables` holds the other files by name."""

    terms: Mapping[str, Term]
    forms: Mapping[str, Form]
    tables: Mapping[str, Mapping[str, Any]]

    def table(self, name: str) -> Mapping[str, Any]:
        """The table of lexicon/NAME.toml. Raises LexiconError where there is no such file."""
        try:
            return self.tables[name]
        except KeyError:
            raise LexiconError(f"The lexicon has no file {name}.toml. Install voicedraft again.") from None

    def family(self, term: str) -> str | None:
        """Family of a term or of any of its forms, or None."""
        form = self.forms.get(term.lower())
        return form.term.family if form else None


def plural(word: str) -> str:
    """The regular English plural of a word or of a phrase's last word."""
    if word.endswith(("s", "x", "z", "ch", "sh")):
        return word + "es"
    if word.endswith("y") and word[-2:-1] not in "aeiou":
        return word[:-1] + "ies"
    return word + "s"


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError) as error:
        raise LexiconError(
            f"The lexicon file {path.name} cannot be read ({error}). Mend it or take it away."
        ) from error


def check_shape(name: str, table: Mapping[str, Any]) -> None:
    """Holds a table of the user's own against the shipped file of that name.

    Raises LexiconError naming the key whose value is of another kind, or whose list holds another kind of thing.
    """
    path = lexicon_dir() / name
    _same_shape(name, _read(path) if path.is_file() else {}, table)
    if name == "descriptors.toml":
        list(_terms(table, name))


def _same_shape(where: str, shipped: Mapping[str, Any], own: Mapping[str, Any]) -> None:
    for key, value in own.items():
        if key not in shipped:
            continue
        here = f"{where}: {key}"
        if type(value) is not type(shipped[key]):
            wanted, found = _kind(shipped[key]), _kind(value)
            raise LexiconError(f"The lexicon file {here} should be a {wanted}, not a {found}. Mend it.")
        if isinstance(value, dict):
            _same_shape(here, shipped[key], value)
        elif isinstance(value, list):
            kinds = {type(item) for item in shipped[key]}
            odd = next((item for item in value if kinds and type(item) not in kinds), None)
            if odd is not None:
                raise LexiconError(f"The lexicon file {here} holds {odd!r}, which does not belong there. Mend it.")


def _kind(value: Any) -> str:
    for kind, name in ((dict, "table"), (list, "list"), (str, "text")):
        if isinstance(value, kind):
            return name
    return "number"


def _strings(entry: Mapping[str, Any], key: str, file: str) -> tuple[str, ...]:
    values = entry.get(key, [])
    if not isinstance(values, list) or not all(isinstance(v, str) for v in values):
        raise LexiconError(f"The lexicon file {file} gives {entry['term']!r} {key} that are no list of words. Mend it.")
    return tuple(v.lower() for v in values)


def _terms(table: Mapping[str, Any], file: str) -> Iterator[Term]:
    families = table.get("family", {})
    if not isinstance(families, dict) or not all(isinstance(b, dict) for b in families.values()):
        raise LexiconError(f"The lexicon file {file} should have a table [family.NAME] for each family. Mend it.")
    for family, body in families.items():
        for entry in body.get("terms", ()):
            if not isinstance(entry, dict) or not isinstance(entry.get("term"), str) or not entry["term"].strip():
                raise LexiconError(f"The lexicon file {file} has an entry without a term under family {family}.")
            yield Term(
                term=entry["term"].lower(), family=family,
                synonyms=_strings(entry, "synonyms", file), adjectives=_strings(entry, "adjectives", file),
                ambiguous=bool(entry.get("ambiguous", False)),
            )


def _forms(terms: Iterable[Term]) -> dict[str, Form]:
    """Every surface form; a term's own name outranks another's synonym, and that outranks a plural or adjective."""
    ranked: list[tuple[int, Form]] = []
    for term in terms:
        ranked.append((0, Form(term.term, "term", term)))
        ranked += [(1, Form(s, "synonym", term)) for s in term.synonyms]
        ranked += [(2, Form(plural(s), "synonym", term)) for s in (term.term, *term.synonyms)]
        ranked += [(3, Form(a, "adjective", term)) for a in term.adjectives]
    forms: dict[str, Form] = {}
    for _, form in sorted(ranked, key=lambda pair: pair[0]):
        forms.setdefault(form.text, form)
    return forms


def merge(base: dict[str, Any], over: Mapping[str, Any]) -> dict[str, Any]:
    """`over` laid on `base`: tables merge, lists grow, other values are replaced."""
    out = dict(base)
    for key, value in over.items():
        if isinstance(value, dict) and isinstance(out.get(key), dict):
            out[key] = merge(out[key], value)
        elif isinstance(value, list) and isinstance(out.get(key), list):
            out[key] = out[key] + [v for v in value if v not in out[key]]
        else:
            out[key] = value
    return out


def load_lexicon(user: Path | None = None) -> Lexicon:
    """The shipped lexicon with the user's own layer on top.

    user: folder of the user's TOML files, of the same names and shapes; None or a missing folder for none.
    Raises LexiconError naming the file that is malformed.
    """
    layers = [lexicon_dir()] + ([user] if user is not None and user.is_dir() else [])
    return _load(tuple(layers), tuple(_stamp(layer) for layer in layers))


def _stamp(layer: Path) -> tuple[tuple[str, int], ...]:
    return tuple((p.name, p.stat().st_mtime_ns) for p in sorted(layer.glob("*.toml")))


@lru_cache(maxsize=8)
def _load(layers: tuple[Path, ...], stamps: tuple[tuple[tuple[str, int], ...], ...]) -> Lexicon:
    tables: dict[str, dict[str, Any]] = {}
    terms: dict[str, Term] = {}
    for layer, stamp in zip(layers, stamps, strict=True):
        for name, _ in stamp:
            table = _read(layer / name)
            if layer != lexicon_dir():
                check_shape(name, table)
            stem = name.removesuffix(".toml")
            if stem == "descriptors":
                terms |= {t.term: t for t in _terms(table, name)}
            tables[stem] = merge(tables.get(stem, {}), table)
    return Lexicon(terms=terms, forms=_forms(terms.values()), tables=tables)
