"""How the transcript is spelt, "gray" or "grey": whether dollars of nobody in particular can be American ones.

"Twelve dollars" with nothing that tells the country is read as American money; where the words are spelt the other way
("colour", "neighbour") the dollars are some other country's, and nothing tells whose. Where a speech model wrote the
words their spelling is its own: it wrote "grey" and "flavour" for an American.
"""

from __future__ import annotations

from voicedraft.read.facts.context import Session


def spelt_abroad(session: Session) -> bool:
    """Whether somebody spelt more words the British way than the American."""
    if session.heard:
        return False
    words = [t.text for line in session.lines for t in line.tokens]
    british = frozenset(session.words.listed("spelling.british"))
    american = frozenset(session.words.listed("spelling.american"))
    return sum(w in british for w in words) > sum(w in american for w in words)
