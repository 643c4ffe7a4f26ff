"""Wrong repairs: annotated sessions, every word of which was said as it stands, each word taken as doubtful.

    python -m benchmarks.wrong_repairs tests/gold/sessions/*.json tests/gold/mended_on/*.json tests/gold/own/[xt]*.json

Printed: words, repairs made (all wrong but those of spelling) and each of them.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from voicedraft.evaluate.gold import load
from voicedraft.evaluate.gold_vtt import heard
from voicedraft.hear.repair import repair
from voicedraft.lexicon import load_lexicon

DOUBT = 0.4
"""The recogniser's probability that each word is given; our own choice."""


def main() -> None:
    """Prints the repairs over the given sessions."""
    lexicon, words, found = load_lexicon(), 0, []
    for name in sys.argv[1:]:
        said = heard(load(Path(name)), "sentences")
        doubtful = replace(said, words=tuple(replace(w, probability=DOUBT) for w in said.words))
        words += len(said.words)
        found += [(Path(name).stem, r) for r in repair(doubtful, lexicon).repairs]
    print(f"{len(sys.argv) - 1} sessions, {words} words, {len(found)} repairs ({len(found) / max(1, words):.3%})")
    for stem, r in found:
        print(f"  {stem}: {r.heard} → {r.text}: {r.reason}")


if __name__ == "__main__":
    main()
