"""The speaker's own currency: what is named most, narrowed by "Canadian", by tax names and by places of the country."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Sequence

from voicedraft.read.facts.acts import tagged
from voicedraft.read.facts.context import Line, Session
from voicedraft.read.facts.spelling import spelt_abroad
from voicedraft.read.numbers import Money


def own_currency(session: Session) -> str:
    """ISO 4217 code, or "" where nothing tells; such a price is written without a currency. "Dollars" with no more are
    American, unless the words are spelt as elsewhere ("grey"): then nobody said whose they are."""
    places = _places(session)
    counts: Counter[str] = Counter()
    shared: Counter[tuple[str, ...]] = Counter()
    for line in session.lines:
        for money in line.quantities.moneys:
            if not money.codes or money.minor or line.has("price.weighed", money.last, money.last + 1):
                continue
            if tagged(line, money.last - 1) in _DESCRIBING:
                continue
            weight = (_PRICED if line.section == "value" else 1) if _ours(line, money) else 0
            if len(set(money.codes)) == 1:
                counts[money.codes[0]] += weight
            else:
                shared[money.codes] += weight
    counts.update(_named_in_full(session))
    nobody = 0
    for codes, n in sorted(shared.items(), key=lambda item: _slang(item[0], session)):
        told = [c for c in codes if counts[c]]
        near = sorted((c for c in codes if places[c]), key=lambda c: -places[c])
        if n and not told and not near and codes[0] == _DEFAULT and spelt_abroad(session):
            nobody = n
            continue
        counts[(told or near or list(codes))[0]] += n
    if nobody > max(counts.values(), default=0):
        return ""
    counts = +counts or _named_alone(session, places)
    if counts:
        top = counts.most_common()
        best = [c for c, n in top if n == top[0][1]]
        return max(best, key=lambda c: places[c])
    return places.most_common(1)[0][0] if places else _by_manner(session)


_DEFAULT = "USD"
"""Whose dollars they are where nothing else tells and nothing speaks against it; our own choice, no outside source."""


def _by_manner(session: Session) -> str:
    """The code that a manner of speaking points to, where nothing else was said; never against a place or a word."""
    return "USD" if any(line.has("speaker.USD.manner") for line in session.lines) else ""


def _ours(line: Line, money: Money) -> bool:
    """Not a price elsewhere, of other people or of another cigar: "euros at the airport", "my cousin pays nine US".

    A price before tax is the speaker's own money all the same.
    """
    first, last = line.clause(money.first)
    void = [h for h in line.find("price.void", first, last) if "tax" not in h.value.split()]
    elsewhere = bool(void) or line.has("price.people", first, money.first)
    bare = money.last - money.first <= 2 and _qualified(line, money)
    return not (elsewhere or line.other[money.first] or bare)


_PRICED = 3
"""What money named in price talk counts, against 1 elsewhere: two sums told in passing ("two hundred ton", "a guinea")
do not outweigh the price. Our own choice, no outside source."""
_DESCRIBING = frozenset({"ADJ", "ADV"})
"""Parts of speech of a word that is no money after all: "three real strong puffs"."""


def _qualified(line: Line, money: Money) -> bool:
    """"nine American", "21 US": whose money it is has to be said where it is not the speaker's own."""
    find = line.words.currencies.qualified
    return any(find(line.tokens, i, money.codes) is not None for i in (money.last - 1, money.last))


def _named_in_full(session: Session) -> Counter[str]:
    """"Thirty-eight dollars, and that is Bajan dollars": money named in full, beside no amount, in price talk."""
    found: Counter[str] = Counter()
    for line in session.lines:
        if line.section != "value":
            continue
        amounts = {i for m in line.quantities.moneys for i in range(m.first - 1, m.last + 2)}
        for i in range(len(line.tokens)):
            codes, last = line.words.currencies.unit_at(line.tokens, i)
            if last - i >= 2 and len(codes) == 1 and i not in amounts and not line.denied(i):
                found[codes[0][0]] += 2
    return found


def _named_alone(session: Session, places: Counter[str]) -> Counter[str]:
    """"Fourteen fifty. Euros?": money words that stand beside no amount, in the talk of prices."""
    found: Counter[str] = Counter()
    for line in session.lines:
        if line.section != "value":
            continue
        for i in range(len(line.tokens)):
            codes, _ = line.words.currencies.unit_at(line.tokens, i) if not line.tokens[i].stops else ((), i)
            names = [code for code, _ in codes]
            if names[:1] == [_DEFAULT] and not any(places[c] for c in names) and spelt_abroad(session):
                continue
            near = [code for code, _ in places.most_common() if code in names]
            found.update([*near, *names][:1] if len(line.tokens[i].text) > 3 else [])
    return found


def _slang(codes: tuple[str, ...], session: Session) -> bool:
    """Words worth other than one unit ("bob", "guineas") are judged after plain names."""
    moneys = (m for line in session.lines for m in line.quantities.moneys if m.codes == codes)
    return any(len(set(m.amounts)) > 1 for m in moneys)


def _places(session: Session) -> Counter[str]:
    """Codes of the countries that places, dialect and taxes point to; a place said often counts no more than twice, a
    word of the country once."""
    found: Counter[str] = Counter()
    said: Counter[str] = Counter()
    for line in session.lines:
        for hit in line.words.places.find(line.tokens):
            code, loose = hit.value
            word = line.said(hit.first, hit.last).lower()
            said[word] += 1
            named = any(t.printed[:1].isupper() for t in line.tokens[hit.first : hit.last])
            if _of_a_sum(line, hit.first):
                continue
            if said[word] <= (1 if loose else _OFTEN) and (loose or (named and not _describes(line, hit.last - 1))):
                found[code] += (1 if loose else 2) + (line.section == "value")
    return found


def _of_a_sum(line: Line, i: int) -> bool:
    """A place in the clause of a sum in its money: "I saw the same one in Seattle for nine American"."""
    first, last = line.clause(i)
    return any(first <= m.first < last and m.codes and _qualified(line, m) for m in line.quantities.moneys)


def _describes(line: Line, i: int) -> bool:
    """"the Thai place", "Irish whiskey": a country's word before a noun tells nothing of where the speaker is."""
    k = bisect_right(line.starts, line.tokens[i].start) - 1
    return k >= 0 and line.doc[k].dep_ in ("amod", "compound")


_OFTEN = 2


def pick(codes: Sequence[str], own: str) -> str:
    """The code of an amount: the speaker's own where its word allows, else the word's first; bare amounts are own.

    "Dollars" are nobody's where the speaker's own money is not known.
    """
    if not codes or own in codes or (not own and codes[0] == _DEFAULT and len(set(codes)) > 1):
        return own
    return codes[0]
