"""What the tagger sees of each token: its word, grammar, neighbours, lexicon marks, passage."""

from __future__ import annotations

from collections.abc import Mapping

from voicedraft.read.descriptors.lexical import Matcher
from voicedraft.read.descriptors.tokens import Token, Tokens

_LINKS = frozenset({"conj", "compound", "amod", "nmod", "appos", "nummod"})


def shape(text: str) -> str:
    """Letters as x or X, digits as d, runs cut short: "Cedar" is "Xx"."""
    out = ""
    for c in text:
        s = "d" if c.isdigit() else "X" if c.isupper() else "x" if c.islower() else c
        if not out.endswith(s):
            out += s
    return out[:4]


def governor(rows: list[Token], i: int) -> tuple[Token, str]:
    """The word that the token's noun phrase or list hangs on, and the relation of the phrase to it."""
    seen = 0
    while rows[i].dep in _LINKS and rows[i].head != i and seen < 8:
        i, seen = rows[i].head, seen + 1
    return rows[rows[i].head], rows[i].dep


def token_features(row: Tokens, matcher: Matcher, classes: Mapping[str, str]) -> list[list[str]]:
    """One list of feature names for each token, empty in sentences that are not active."""
    rows = row.rows
    marks: list[list[str]] = []
    out: list[list[str]] = []
    for (begin, end), active in zip(row.bounds, row.active(), strict=True):
        if not active:
            marks += [[]] * (end - begin)
            out += [[]] * (end - begin)
            continue
        marks += [_marks(row, matcher, classes, t) for t in rows[begin:end]]
        for i in range(begin, end):
            t = rows[i]
            head, relation = governor(rows, i)
            passage = row.passage(i)
            names = [
                "b", f"w={t.lower}", f"t={t.tag}", f"d={t.dep}", f"s={shape(t.text)}", f"x={t.lower[-3:]}",
                f"gd={relation}", f"gl={head.lemma}", f"g={relation}/{head.lemma}",
                f"p={passage.section if passage else '-'}", f"first={i == begin}",
            ]
            names += ["0" + m for m in marks[i]]
            for step in (-3, -2, -1, 1, 2):
                j = i + step
                if begin <= j < end:
                    o = rows[j]
                    names += [f"{step}w={o.lower}", f"{step}t={o.tag}"]
                    names += [f"{step}{m}" for m in marks[j]]
                else:
                    names.append(f"{step}end")
            if i > begin:
                names += [f"-1+0={rows[i - 1].lower}/{t.tag}", f"tt={rows[i - 1].tag}/{t.tag}"]
            if i + 1 < end:
                names.append(f"t+={t.tag}/{rows[i + 1].tag}")
            out.append(names)
    return out


def _marks(row: Tokens, matcher: Matcher, classes: Mapping[str, str], t: Token) -> list[str]:
    """Word classes of one token from the lexicon."""
    out: list[str] = []
    covered = row.lexical[t.index]
    if covered is not None:
        match, place = covered
        form = match.form
        out.append("lex=" + ("B" if place == 0 else "I"))
        out.append(f"lexk={form.kind}/{'amb' if form.term.ambiguous else ''}")
        out.append("lexlen=" + ("1" if match.last - match.first == 1 else "2"))
    elif t.lemma in matcher.heads or t.lower in matcher.heads:
        out.append("lexhead")
    kind = classes.get(t.lower)
    if kind:
        out.append("mod=" + kind)
    return out
