"""Small words that several rules look for: who tells, what opens a clause, what denies it, what only supposes it."""

from __future__ import annotations

SPEAKER = frozenset({"i", "we", "i've", "we've", "i'd", "we'd"})
"""The speaker as the one who does something."""
SUBJECTS = SPEAKER | {"it", "it's", "he", "she", "they"}
"""Words that open a clause of their own."""
NOTS = frozenset({
    "n't", "not", "never", "isn't", "wasn't", "aren't", "weren't", "hasn't", "couldn't", "wouldn't",
})
"""Words that deny the verb they stand by."""
MODALS = frozenset({"would", "'d", "might", "could"})
"""Verbs under which nothing is told, only supposed."""
BEING = frozenset({"is", "'s", "was", "came", "comes", "are"})
"""Verbs that tell what something is, or where it is from."""
