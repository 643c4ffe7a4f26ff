"""The parts of the benchmarks that decide what is counted."""

from __future__ import annotations

from benchmarks.hearing import GOLD
from benchmarks.reading_aloud import differing, spoken_part
from voicedraft.evaluate.gold import load


def test_a_share_counts_the_flavours_that_are_spoken() -> None:
    """With half of each take, half of its sentences are left and every flavour kept has its words in them."""
    gold = load(GOLD / "s14.json")
    part = spoken_part(gold, 0.5)
    said = " ".join(s["t"] for t in part["takes"] for s in t["sentences"])
    assert 0 < len(part["descriptors"]) < len(gold["descriptors"])
    assert all(d["quote"] in said for d in part["descriptors"])
    left_out = [d for d in gold["descriptors"] if d not in part["descriptors"]]
    assert not any(d["quote"] in said for d in left_out)
    assert spoken_part(gold, 1.0)["descriptors"] == gold["descriptors"]


def test_what_differs_is_told_with_its_count() -> None:
    """A flavour lost is told with a minus, one put in with a plus, once for each stage and time."""
    text = {"descriptors": [{"stage": "first", "term": "hay"}, {"stage": "first", "term": "oak"}]}
    sound = {"descriptors": [{"stage": "first", "term": "oak"}, {"stage": "final", "term": "hay"}]}
    assert differing(text, sound) == ["- first hay", "+ final hay"]
