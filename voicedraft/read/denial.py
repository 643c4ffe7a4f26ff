"""Words that deny, in classes; each part of the reading takes the classes that fit its question.

"Not" and its like deny what follows, "nor" and "neither" carry a denial on, "nope" answers, "hardly" all but denies.
Clitic forms are as spaCy parts them ("do" and "n't"); whole ones ("don't", "cannot") are for text that is written in
another way. No outside source: general English, with some Scots.
"""

from __future__ import annotations

NOT = frozenset({"no", "not", "n't", "never"})
NOR = frozenset({"nor", "neither"})
NOPE = frozenset({"nah", "nope"})
NAE = frozenset({"nae", "nay"})
VERBS = frozenset({
    "nt", "cannot", "don't", "wouldn't", "won't", "can't", "shouldn't", "dinnae", "wouldnae",
})
HARDLY = frozenset({"hardly", "barely", "scarcely"})
ZERO = frozenset({"zero", "nil", "nought"})
