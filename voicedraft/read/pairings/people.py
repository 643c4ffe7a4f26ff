"""Words for somebody other than the speaker."""

from __future__ import annotations

PEOPLE = frozenset({
    "he", "she", "they", "wife", "husband", "brother", "sister", "father", "mother", "dad", "mum", "mom", "son",
    "lad", "daughter", "cousin", "uncle", "aunt", "friend", "mate", "neighbour", "neighbor", "guy", "fellow",
    "fella", "bloke", "man", "woman", "people", "everyone", "everybody", "somebody", "someone", "others",
    "boss", "grandfather", "in-law",
})
THEM = frozenset({"him", "her", "them", "child", "children", "kid", "kids", "anyone", "anybody", "guests"})
"""Others to whom something may be given: "what I'd never pour her is gin"."""
