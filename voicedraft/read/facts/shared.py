"""Rules: a leaf told of several parts at once: "all beneath", "the same as the binder", "a binder and filler"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from voicedraft.read.facts.context import Line
from voicedraft.read.facts.leaves import Leaf

PARTS = ("wrapper", "binder", "filler")


def beneath(line: Line, leaves: Sequence[Leaf], given: dict[str, list[Leaf]]) -> None:
    """"Everything beneath is Nicaraguan": the leaf after goes to binder and filler."""
    for hit in line.find("leaf.under"):
        under = [x for x in leaves if x.first >= hit.last][:1]
        if under:
            for part in PARTS:
                given[part] = [x for x in given.get(part, ()) if x is not under[0]]
            given["binder"], given["filler"] = given["binder"] or under, given["filler"] or under
            for part in [p for p in PARTS if not given[p]]:
                del given[part]


def same_as(line: Line, given: dict[str, list[Leaf]], cues: Sequence[tuple[int, int, str]]) -> None:
    """"The filler's the same as the binder": one part has the other's leaf, told before or after."""
    for (_, last, part), (first, _, other) in pairwise(cues):
        words = [t.text for t in line.tokens[last:first]]
        if "same" in words and (words[-2:] == ["as", "the"] or words[-1:] == ["as"]):
            told = given.get(other) or given.get(part)
            if told:
                given[part], given[other] = list(told), list(told)


def of_one(line: Line, given: dict[str, list[Leaf]], leaves: Sequence[Leaf]) -> None:
    """"It's a puro, all the leaf is Brazilian, and the wrapper is Mata Fina": the origin goes to every part."""
    origin = next((leaf for leaf in leaves if leaf.country), None)
    if origin is None or not line.has("leaf.whole"):
        return
    for part in PARTS:
        own = [x for x in given.get(part, ()) if x is not origin]
        fits = [x for x in own if not x.country and x.home in (None, origin.country)]
        given[part] = [replace(x, country=origin.country, demonym=origin.demonym) for x in fits] or own or [origin]


def share_part(line: Line, given: dict[str, list[Leaf]], cues: Sequence[tuple[int, int, str]]) -> None:
    """"a Nicaraguan binder and filler": the leaf goes to both parts."""
    for (_, last, part), (first, _, following) in pairwise(cues):
        words = [t.text for t in line.tokens[last:first]]
        so_is = [k for k in range(len(words) - 1) if words[k] == "so" and words[k + 1] in ("is", "are", "was")]
        if so_is and part in given:
            own = given.get(following, [])
            given[following] = [*given[part][-1:], *own] if following == "filler" else own or given[part][-1:]
        joined = words == ["and"]
        if joined and part in given and following not in given and given[part][-1].last <= last:
            given[following] = given[part][-1:]
    first, last, part = cues[-1] if cues else (0, 0, "")
    tail = line.has("leaf.same", last, min(last + 3, len(line.tokens)))
    before = [leaf for found in given.values() for leaf in found if leaf.last <= first]
    if part and part not in given and before and tail and not line.has("leaf.unknown"):
        given[part] = [max(before, key=lambda leaf: leaf.last)]
